#include "kw_inner.h"

/*
 * Lamps. Record: what lights it, flags, and what that refers to u16: nothing, an input, a bit of an output report, or what it hears of MIDI:
 * a status byte with its channel and the number of the note or the control. A note that sounds lights it, and a control from 64 on.
 */
enum { STEADY, FOLLOWS, FLIPS, HOST, HEARS };
enum { INVERT = 1 };
enum { ON = 0x10, CONTROL = 0x20, SWITCH = 64 }; /* ON tells 0x90, a note that begins, from 0x80, one that ends; CONTROL tells 0xB0 from both */

static uint8_t flipped[(KW_MAX_LAMPS + 7) / 8]; /* on by presses, or by what was heard */

static uint8_t mask(uint8_t l) { return kw_mask(l & 7); }
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
	case HEARS:
		return (refers(l) & 0x80D0) == 0x0090; /* the status of a note or of a control */
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
			flipped[l >> 3] ^= mask(l);
}

void kw_hear(const uint8_t *e)
{
	uint8_t status = e[1], least = SWITCH;

	if (!(status & CONTROL)) {
		least = status & ON ? 1 : 0xFF; /* a note that ends is never loud enough */
		status |= ON;
	}
	for (uint8_t l = 0; l < kw_count(KW_LAMPS); l++)
		if (what(l) == HEARS && refers(l) == (uint16_t)(status | e[2] << 8)) {
			flipped[l >> 3] |= mask(l);
			if (e[3] < least)
				flipped[l >> 3] ^= mask(l);
		}
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
	case HEARS:
		on = (flipped[l >> 3] & mask(l)) != 0;
		break;
	case HOST:
		on = kw_get(refers(l), 1) != 0;
		break;
	}
	return on != ((flags(l) & INVERT) != 0);
}
