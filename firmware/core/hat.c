#include "kw_inner.h"

/*
 * Hats: four contacts as one direction, 0 to 7 clockwise from up, 8 for none. Contacts that oppose each other cancel. Record: report
 * bit u16 of four bits, inputs up, right, down, left.
 *
 * Neithers: a bit that is on while none of four inputs is held, the middle of a switch in which no contact is closed. Record: report bit
 * u16, four inputs; of fewer, some stand twice.
 */
static uint8_t input(const uint8_t *r, uint8_t n) { return KW_ROM8(r + 2 + n); }

static bool check(const uint8_t *r, uint8_t width)
{
	for (uint8_t n = 0; n < 4; n++)
		if (input(r, n) >= kw_count(KW_INPUTS))
			return false;
	return kw_fits(kw_rom16(r), width, KW_INPUT);
}

bool kw_hat_check(uint8_t h) { return check(kw_record(KW_HATS, h), 4); }

bool kw_neither_check(uint8_t n) { return check(kw_record(KW_NEITHERS, n), 1); }

void kw_hat_update(void)
{
	/* by up/down (0 none, 1 up, 2 down) times three plus right/left (0 none, 1 right, 2 left) */
	static const uint8_t direction[9] = {8, 2, 6, 0, 1, 7, 4, 3, 5};

	for (uint8_t h = 0; h < kw_count(KW_HATS); h++) {
		const uint8_t *r = kw_record(KW_HATS, h);
		const bool up = kw_held(input(r, 0)), right = kw_held(input(r, 1)), down = kw_held(input(r, 2)), left = kw_held(input(r, 3));
		const uint8_t v = up == down ? 0 : up ? 1 : 2, u = right == left ? 0 : right ? 1 : 2;

		kw_put(kw_rom16(r), 4, direction[v * 3 + u]);
	}
	for (uint8_t n = 0; n < kw_count(KW_NEITHERS); n++) {
		const uint8_t *r = kw_record(KW_NEITHERS, n);
		bool any = false;

		for (uint8_t k = 0; k < 4; k++)
			any |= kw_held(input(r, k));
		kw_put1(kw_rom16(r), !any);
	}
}
