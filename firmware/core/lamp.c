#include "kw_inner.h"

/*
 * Lamps. Record: what lights it, flags, and what that refers to u16: nothing, an input, or a bit of an output report.
 */
enum { STEADY, FOLLOWS, FLIPS, HOST };
enum { INVERT = 1 };

static uint8_t flipped[(KW_MAX_LAMPS + 7) / 8];

static uint8_t what(uint8_t l) { return KW_ROM8(kw_record(KW_LAMPS, l)); }
static uint8_t flags(uint8_t l) { return KW_ROM8(kw_record(KW_LAMPS, l) + 1); }
static uint16_t refers(uint8_t l) { return kw_rom16(kw_record(KW_LAMPS, l) + 2); }

bool kw_lamp_check(uint8_t l)
{
	if (flags(l) > INVERT)
		return false;
	switch (what(l)) {
	case STEADY:
		return true;
	case FOLLOWS:
	case FLIPS:
		return refers(l) < kw_count(KW_INPUTS);
	case HOST:
		return kw_fits(refers(l), 1, KW_OUTPUT);
	default:
		return false;
	}
}

void kw_lamp_begin(void)
{
	for (uint8_t k = 0; k < sizeof flipped; k++)
		flipped[k] = 0;
}

void kw_lamp_pressed(uint8_t input)
{
	for (uint8_t l = 0; l < kw_count(KW_LAMPS); l++)
		if (what(l) == FLIPS && refers(l) == input)
			flipped[l >> 3] ^= (uint8_t)(1u << (l & 7));
}

uint8_t kw_lamps(void) { return kw_count(KW_LAMPS); }

bool kw_lamp(uint8_t l)
{
	bool on = true;

	if (l >= kw_count(KW_LAMPS))
		return false;
	switch (what(l)) {
	case FOLLOWS:
		on = kw_held((uint8_t)refers(l));
		break;
	case FLIPS:
		on = flipped[l >> 3] >> (l & 7) & 1;
		break;
	case HOST:
		on = kw_get(refers(l), 1) != 0;
		break;
	}
	return on != ((flags(l) & INVERT) != 0);
}
