#include "kw_inner.h"

/*
 * Pulses: buttons that the firmware presses for a stated time, for every change of a toggle and every detent of an encoder. More than
 * one at a time wait for their turn, with a stated gap between them. Record: report bit u16, length u16, gap u16, in ticks.
 *
 * Toggles: record: input, action (a pulse or a macro) when it closes, action when it opens, KW_NO for none of either, a byte of nothing.
 */
static struct {
	uint16_t timer;
	uint8_t waiting; /* that have not begun */
	bool on, gap;
} pulses[KW_MAX_PULSES];

static uint16_t bit_of(uint8_t p) { return kw_rom16(kw_record(KW_PULSES, p)); }
static uint16_t length_of(uint8_t p) { return kw_rom16(kw_record(KW_PULSES, p) + 2); }
static uint16_t gap_of(uint8_t p) { return kw_rom16(kw_record(KW_PULSES, p) + 4); }

bool kw_pulse_check(uint8_t p) { return kw_fits(bit_of(p), 1, KW_INPUT) && length_of(p) > 0 && gap_of(p) > 0; }

static uint8_t toggle(uint8_t i, uint8_t field) { return KW_ROM8(kw_record(KW_TOGGLES, i) + field); }

bool kw_toggle_check(uint8_t i)
{
	for (uint8_t f = 1; f <= 2; f++)
		if (toggle(i, f) != KW_NO && !kw_action_exists(toggle(i, f)))
			return false;
	return toggle(i, 0) < kw_count(KW_INPUTS);
}

void kw_pulse_begin(void)
{
	for (uint8_t p = 0; p < KW_MAX_PULSES; p++) {
		pulses[p].timer = 0;
		pulses[p].waiting = 0;
		pulses[p].on = pulses[p].gap = false;
	}
}

static void start(uint8_t p)
{
	pulses[p].waiting--;
	pulses[p].on = true;
	pulses[p].timer = length_of(p);
	kw_put1(bit_of(p), true);
}

void kw_pulse_add(uint8_t p)
{
	if (pulses[p].waiting < 255)
		pulses[p].waiting++;
}

bool kw_pulse_cancel(uint8_t p)
{
	if (pulses[p].waiting == 0)
		return false;
	pulses[p].waiting--;
	return true;
}

/* A pulse begins in the tick after it was asked for, or in the same one if it was asked for by a contact; so it lasts its full time. */
void kw_pulse_tick(void)
{
	const uint8_t count = kw_count(KW_PULSES);

	for (uint8_t p = 0; p < count; p++) {
		if (!pulses[p].on && !pulses[p].gap) {
			if (pulses[p].waiting > 0)
				start(p);
			continue;
		}
		if (--pulses[p].timer != 0)
			continue;
		if (pulses[p].on) {
			pulses[p].on = false;
			pulses[p].gap = true;
			pulses[p].timer = gap_of(p);
			kw_put1(bit_of(p), false);
		} else {
			pulses[p].gap = false;
			if (pulses[p].waiting > 0)
				start(p);
		}
	}
}

void kw_toggle_changed(uint8_t input, bool held)
{
	for (uint8_t i = 0; i < kw_count(KW_TOGGLES); i++)
		if (toggle(i, 0) == input)
			kw_action(toggle(i, held ? 1 : 2));
}
