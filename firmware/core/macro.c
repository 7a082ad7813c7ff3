#include "kw_inner.h"

/*
 * Macros: a few steps, each of which presses or releases a button and then waits. A macro that is asked for while it runs runs once
 * more afterwards. Records: of a macro, first step, number of steps; of a step, report bit u16, 1 to press and 0 to release, a byte of
 * nothing, wait u16 in ticks. A macro that would leave something pressed is refused.
 *
 * Pulses and macros are actions: numbers below the number of pulses are pulses, the following ones macros.
 */
enum { IDLE = 0xFF };

static struct {
	uint16_t timer;
	uint8_t step, waiting;
} macros[KW_MAX_MACROS];

static uint8_t first(uint8_t m) { return KW_ROM8(kw_record(KW_MACROS, m)); }
static uint8_t steps(uint8_t m) { return KW_ROM8(kw_record(KW_MACROS, m) + 1); }
static uint16_t bit_of(uint8_t s) { return kw_rom16(kw_record(KW_STEPS, s)); }
static uint8_t press_of(uint8_t s) { return KW_ROM8(kw_record(KW_STEPS, s) + 2); }
static uint16_t wait_of(uint8_t s) { return kw_rom16(kw_record(KW_STEPS, s) + 4); }

bool kw_step_check(uint8_t s) { return kw_fits(bit_of(s), 1, KW_INPUT) && press_of(s) <= 1 && wait_of(s) > 0; }

bool kw_macro_check(uint8_t m)
{
	const uint16_t end = (uint16_t)(first(m) + steps(m));

	if (steps(m) == 0 || end > kw_count(KW_STEPS) || kw_count(KW_PULSES) + kw_count(KW_MACROS) > KW_NO)
		return false;
	for (uint8_t s = first(m); s < end; s++) {
		bool left = press_of(s) != 0;

		for (uint8_t k = (uint8_t)(s + 1); k < end; k++)
			if (bit_of(k) == bit_of(s))
				left = press_of(k) != 0;
		if (left)
			return false;
	}
	return true;
}

void kw_macro_begin(void)
{
	for (uint8_t m = 0; m < KW_MAX_MACROS; m++) {
		macros[m].step = IDLE;
		macros[m].waiting = 0;
	}
}

static void go(uint8_t m, uint8_t step)
{
	const uint8_t s = (uint8_t)(first(m) + step);

	macros[m].step = step;
	macros[m].timer = wait_of(s);
	if (press_of(s) != 0)
		kw_put1(bit_of(s), true);
	else
		kw_release(bit_of(s));
}

void kw_macro_tick(void)
{
	for (uint8_t m = 0; m < kw_count(KW_MACROS); m++) {
		if (macros[m].step != IDLE) {
			if (--macros[m].timer != 0)
				continue;
			if (macros[m].step + 1 < steps(m)) {
				go(m, (uint8_t)(macros[m].step + 1));
				continue;
			}
			macros[m].step = IDLE;
		}
		if (macros[m].waiting > 0) {
			macros[m].waiting--;
			go(m, 0);
		}
	}
}

bool kw_action_exists(uint8_t a) { return a < kw_count(KW_PULSES) + kw_count(KW_MACROS); }

void kw_action(uint8_t a)
{
	if (a == KW_NO)
		return;
	if (a < kw_count(KW_PULSES))
		kw_pulse_add(a);
	else if (macros[a - kw_count(KW_PULSES)].waiting < 255)
		macros[a - kw_count(KW_PULSES)].waiting++;
}

bool kw_action_cancel(uint8_t a)
{
	if (a == KW_NO)
		return false;
	if (a < kw_count(KW_PULSES))
		return kw_pulse_cancel(a);
	a = (uint8_t)(a - kw_count(KW_PULSES));
	if (macros[a].waiting == 0)
		return false;
	macros[a].waiting--;
	return true;
}
