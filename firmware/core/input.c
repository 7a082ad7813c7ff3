#include "kw_inner.h"

/*
 * Contacts. Record: raw bit u16, report bit u16 or KW_NONE, report bit on the second layer u16 or KW_NONE, debounce in ticks, flags.
 * Records are in order of their raw bits; several may share one. Two ways of debouncing:
 *   at once: a change counts in the tick in which it is seen; what follows within the debounce time is not looked at;
 *   stable:  a change counts when the contact has not moved for the debounce time.
 * What is marked as shared has a bit that another input sets too: it goes off with the last of them. Looking takes time, so the others do not.
 */
enum { INVERT = 1, STABLE = 2, SHIFT = 4, SHARED = 8, ALL = 15 };

static uint8_t last[KW_MAX_RAW / 8];  /* the raw row of the tick before */
static uint8_t first[KW_MAX_RAW];     /* first input of each raw bit */
static uint8_t timer[KW_MAX_INPUTS];  /* ticks left; 0: none runs */
static uint8_t held[(KW_MAX_INPUTS + 7) / 8];
static uint8_t running[(KW_MAX_INPUTS + 7) / 8]; /* which timers are not 0 */
static uint8_t upper[(KW_MAX_INPUTS + 7) / 8];   /* of what is held: pressed on the second layer */
static uint8_t shifts;                           /* shift controls that are held */

/* The fields of a record. */
static const uint8_t *record(uint8_t i) { return kw_record(KW_INPUTS, i); }
static uint8_t raw_of(const uint8_t *r) { return KW_ROM8(r); } /* once checked, all raw bits fit a byte */
static uint16_t bit_of(const uint8_t *r) { return kw_rom16(r + 2); }
static uint16_t second_of(const uint8_t *r) { return kw_rom16(r + 4); }
static uint8_t debounce_of(const uint8_t *r) { return KW_ROM8(r + 6); }
static uint8_t flags_of(const uint8_t *r) { return KW_ROM8(r + 7); }

static bool fits(uint16_t bit) { return bit == KW_NONE || kw_fits(bit, 1, KW_INPUT); }

bool kw_input_check(uint8_t i)
{
	const uint8_t *r = record(i);

	return kw_rom16(r) < KW_MAX_RAW && (i == 0 || kw_rom16(r) >= kw_rom16(record((uint8_t)(i - 1)))) && fits(bit_of(r)) &&
	       fits(second_of(r)) && !(flags_of(r) & ~ALL);
}

bool kw_held(uint8_t i) { return i < kw_count(KW_INPUTS) && (held[i >> 3] & kw_mask(i & 7)) != 0; }

static bool closed(const uint8_t *r, const uint8_t *raw) { return kw_raw(raw, raw_of(r)) != ((flags_of(r) & INVERT) != 0); }

static void run(uint8_t i, uint8_t ticks)
{
	timer[i] = ticks;
	if (ticks != 0)
		running[i >> 3] |= kw_mask(i & 7);
	else
		running[i >> 3] &= (uint8_t)~kw_mask(i & 7);
}

/* The bit that an input sets while it is held. What was pressed on one layer is released on that layer, whatever the shift does meanwhile. */
static uint16_t own(uint8_t i)
{
	const uint8_t *r = record(i);

	return upper[i >> 3] & kw_mask(i & 7) ? second_of(r) : bit_of(r);
}

/* Clears a bit, unless an input that is held sets it too: two shortcuts with the same modifier, two controls of one button. */
void kw_release(uint16_t bit)
{
	for (uint8_t k = 0; k < sizeof held; k++) {
		uint8_t bits = held[k];

		for (uint8_t i = (uint8_t)(k * 8); bits != 0; bits >>= 1, i++)
			if (bits & 1 && own(i) == bit)
				return;
	}
	kw_put1(bit, false);
}

static void set(uint8_t i, const uint8_t *r, bool on)
{
	const uint8_t mask = kw_mask(i & 7), k = i >> 3;

	if (flags_of(r) & SHIFT)
		shifts = (uint8_t)(on ? shifts + 1 : shifts - 1);
	if (!on) {
		held[k] &= (uint8_t)~mask;
		if (flags_of(r) & SHARED)
			kw_release(own(i));
		else
			kw_put1(own(i), false);
		return;
	}
	held[k] |= mask;
	upper[k] &= (uint8_t)~mask;
	if (shifts > 0 && second_of(r) != KW_NONE && !(flags_of(r) & SHIFT))
		upper[k] |= mask;
	kw_put1(own(i), true);
	kw_choice_made(i);
}

static void change(uint8_t i, const uint8_t *r, bool on)
{
	set(i, r, on);
	kw_toggle_changed(i, on);
	kw_gesture_changed(i, on);
	if (on)
		kw_lamp_pressed(i);
}

/* The raw bit of an input has moved. True where the input changed. */
static bool edge(uint8_t i, const uint8_t *r, const uint8_t *raw)
{
	const bool on = closed(r, raw);
	const uint8_t debounce = debounce_of(r);

	if (flags_of(r) & STABLE && debounce != 0) {
		run(i, on != kw_held(i) ? debounce : 0);
		return false;
	}
	if (timer[i] != 0 || on == kw_held(i))
		return false;
	change(i, r, on);
	run(i, debounce);
	return true;
}

/* The time of an input is over. True where the input changed. */
static bool over(uint8_t i, const uint8_t *raw)
{
	const uint8_t *r = record(i);
	const bool on = closed(r, raw);

	run(i, 0);
	if (on == kw_held(i))
		return false;
	change(i, r, on);
	if (!(flags_of(r) & STABLE))
		run(i, debounce_of(r));
	return true;
}

void kw_input_tick(const uint8_t *raw)
{
	const uint8_t count = kw_count(KW_INPUTS);
	bool any = false;

	for (uint8_t k = 0; k * 8u < count; k++) {
		uint8_t bits = running[k];

		for (uint8_t i = (uint8_t)(k * 8); bits != 0; bits >>= 1, i++)
			if (bits & 1 && --timer[i] == 0)
				any |= over(i, raw);
	}
	for (uint8_t k = 0; k < KW_MAX_RAW / 8; k++) {
		uint8_t bits = raw[k] ^ last[k];

		last[k] = raw[k];
		for (uint8_t b = (uint8_t)(k * 8); bits != 0; bits >>= 1, b++)
			if (bits & 1)
				for (uint8_t i = first[b]; i < count; i++) {
					const uint8_t *r = record(i);

					if (raw_of(r) != b)
						break;
					any |= edge(i, r, raw);
				}
	}
	if (any)
		kw_hat_update();
}

void kw_input_begin(const uint8_t *raw)
{
	const uint8_t count = kw_count(KW_INPUTS);

	shifts = 0;
	for (uint8_t k = 0; k < KW_MAX_RAW / 8; k++)
		last[k] = raw[k];
	for (uint8_t b = 0; b < KW_MAX_RAW; b++)
		first[b] = KW_NO;
	for (uint8_t i = count; i > 0; i--)
		first[raw_of(record((uint8_t)(i - 1)))] = (uint8_t)(i - 1);
	for (uint8_t k = 0; k < sizeof held; k++)
		held[k] = running[k] = 0;
	for (uint8_t i = 0; i < KW_MAX_INPUTS; i++)
		timer[i] = 0;
	/* Shift controls first, so that what is held from the start is on the layer that is held from the start. */
	for (uint8_t pass = 0; pass < 2; pass++)
		for (uint8_t i = 0; i < count; i++)
			if (((flags_of(record(i)) & SHIFT) != 0) == (pass == 0) && closed(record(i), raw))
				set(i, record(i), true);
}
