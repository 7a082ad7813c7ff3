#include "kw_inner.h"

/*
 * Hats: four contacts as one direction, 0 to 7 clockwise from up, 8 for none. Contacts that oppose each other cancel. Record: report
 * bit u16 of four bits, inputs up, right, down, left.
 */
static uint8_t input(uint8_t h, uint8_t n) { return KW_ROM8(kw_record(KW_HATS, h) + 2 + n); }

bool kw_hat_check(uint8_t h)
{
	for (uint8_t n = 0; n < 4; n++)
		if (input(h, n) >= kw_count(KW_INPUTS))
			return false;
	return kw_fits(kw_rom16(kw_record(KW_HATS, h)), 4, KW_INPUT);
}

void kw_hat_update(void)
{
	/* by up/down (0 none, 1 up, 2 down) times three plus right/left (0 none, 1 right, 2 left) */
	static const uint8_t direction[9] = {8, 2, 6, 0, 1, 7, 4, 3, 5};

	for (uint8_t h = 0; h < kw_count(KW_HATS); h++) {
		const bool up = kw_held(input(h, 0)), right = kw_held(input(h, 1)), down = kw_held(input(h, 2)), left = kw_held(input(h, 3));
		const uint8_t v = up == down ? 0 : up ? 1 : 2, u = right == left ? 0 : right ? 1 : 2;

		kw_put(kw_rom16(kw_record(KW_HATS, h)), 4, direction[v * 3 + u]);
	}
}
