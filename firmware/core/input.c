#include "kw_inner.h"

/*
 * Contacts. Record: raw bit u16, report bit u16 or KW_NONE, report bit on the second layer u16 or KW_NONE, debounce in ticks, flags.
 * Records are in order of their raw bits; several may share one. Two ways of debouncing:
 *   at once: a change counts in the tick in which it is seen; what follows within the debounce time is not looked at;
 *   stable:  a change counts when the contact has not moved for the debounce time.
 */
enum { INVERT = 1, STABLE = 2, SHIFT = 4, ALL = 7 };

static uint8_t last[KW_MAX_RAW / 8];  /* the raw row of the tick before */
static uint8_t first[KW_MAX_RAW];     /* first input of each raw bit */
static uint8_t timer[KW_MAX_INPUTS];  /* ticks left; 0: none runs */
static uint8_t held[(KW_MAX_INPUTS + 7) / 8];
static uint8_t running[(KW_MAX_INPUTS + 7) / 8]; /* which timers are not 0 */
static uint8_t shifts;                           /* shift controls that are held */

static uint16_t raw_of(uint8_t i) { return kw_rom16(kw_record(KW_INPUTS, i)); }
static uint16_t bit_of(uint8_t i) { return kw_rom16(kw_record(KW_INPUTS, i) + 2); }
static uint16_t second_of(uint8_t i) { return kw_rom16(kw_record(KW_INPUTS, i) + 4); }
static uint8_t debounce_of(uint8_t i) { return KW_ROM8(kw_record(KW_INPUTS, i) + 6); }
static uint8_t flags_of(uint8_t i) { return KW_ROM8(kw_record(KW_INPUTS, i) + 7); }

static bool fits(uint16_t bit) { return bit == KW_NONE || kw_fits(bit, 1, KW_INPUT); }

bool kw_input_check(uint8_t i)
{
	return raw_of(i) < KW_MAX_RAW && (i == 0 || raw_of(i) >= raw_of((uint8_t)(i - 1))) && fits(bit_of(i)) && fits(second_of(i)) &&
	       !(flags_of(i) & ~ALL);
}

bool kw_held(uint8_t i) { return i < kw_count(KW_INPUTS) && (held[i >> 3] >> (i & 7) & 1); }

static bool closed(uint8_t i, const uint8_t *raw) { return kw_raw(raw, (uint8_t)raw_of(i)) != ((flags_of(i) & INVERT) != 0); }

static void run(uint8_t i, uint8_t ticks)
{
	timer[i] = ticks;
	if (ticks != 0)
		running[i >> 3] |= (uint8_t)(1u << (i & 7));
	else
		running[i >> 3] &= (uint8_t)~(1u << (i & 7));
}

/* The input's own bits. A control that was pressed on one layer is released on that layer, whatever the shift does meanwhile. */
static void show(uint8_t i, bool on)
{
	const uint16_t one = bit_of(i), two = second_of(i);

	if (flags_of(i) & SHIFT)
		shifts = (uint8_t)(on ? shifts + 1 : shifts - 1);
	if (!on) {
		kw_put(one, 1, 0);
		kw_put(two, 1, 0);
	} else {
		kw_put(shifts > 0 && two != KW_NONE && !(flags_of(i) & SHIFT) ? two : one, 1, 1);
	}
}

static void set(uint8_t i, bool on)
{
	if (on)
		held[i >> 3] |= (uint8_t)(1u << (i & 7));
	else
		held[i >> 3] &= (uint8_t)~(1u << (i & 7));
	show(i, on);
}

static void change(uint8_t i, bool on)
{
	set(i, on);
	kw_toggle_changed(i, on);
	kw_gesture_changed(i, on);
	if (on)
		kw_lamp_pressed(i);
}

/* The raw bit of an input has moved. True where the input changed. */
static bool edge(uint8_t i, const uint8_t *raw)
{
	const bool on = closed(i, raw);

	if (flags_of(i) & STABLE && debounce_of(i) != 0) {
		run(i, on != kw_held(i) ? debounce_of(i) : 0);
		return false;
	}
	if (timer[i] != 0 || on == kw_held(i))
		return false;
	change(i, on);
	run(i, debounce_of(i));
	return true;
}

/* The time of an input is over. True where the input changed. */
static bool over(uint8_t i, const uint8_t *raw)
{
	const bool on = closed(i, raw);

	run(i, 0);
	if (on == kw_held(i))
		return false;
	change(i, on);
	if (!(flags_of(i) & STABLE))
		run(i, debounce_of(i));
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
				for (uint8_t i = first[b]; i < count && raw_of(i) == b; i++)
					any |= edge(i, raw);
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
		first[raw_of((uint8_t)(i - 1))] = (uint8_t)(i - 1);
	for (uint8_t k = 0; k < sizeof held; k++)
		held[k] = running[k] = 0;
	for (uint8_t i = 0; i < KW_MAX_INPUTS; i++)
		timer[i] = 0;
	/* Shift controls first, so that what is held from the start is on the layer that is held from the start. */
	for (uint8_t pass = 0; pass < 2; pass++)
		for (uint8_t i = 0; i < count; i++)
			if (((flags_of(i) & SHIFT) != 0) == (pass == 0) && closed(i, raw))
				set(i, true);
}
