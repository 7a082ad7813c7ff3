#include "kw_inner.h"

/*
 * Short, long and double presses of one contact, each an action (a pulse or a macro) of its own, or KW_NO. A press is long when the
 * contact was held for the long time; it is known then, not at the release. With a double press to wait for, a short one is known only
 * when the pause is over without another press; without, at the release.
 *
 * Record: input, short action, long action, double action, long time u16, pause u16, in ticks.
 */
enum phase { IDLE, PRESSED, PAUSE, DONE };

static struct {
	uint16_t timer;
	uint8_t phase;
} gestures[KW_MAX_GESTURES];

static uint8_t field(uint8_t g, uint8_t at) { return KW_ROM8(kw_record(KW_GESTURES, g) + at); }
static uint16_t number(uint8_t g, uint8_t at) { return kw_rom16(kw_record(KW_GESTURES, g) + at); }

bool kw_gesture_check(uint8_t g)
{
	for (uint8_t f = 1; f <= 3; f++)
		if (field(g, f) != KW_NO && !kw_action_exists(field(g, f)))
			return false;
	return field(g, 0) < kw_count(KW_INPUTS) && (field(g, 2) == KW_NO || number(g, 4) > 0) && (field(g, 3) == KW_NO || number(g, 6) > 0);
}

/* What is held from the start is no press: its release makes nothing. */
void kw_gesture_begin(void)
{
	for (uint8_t g = 0; g < kw_count(KW_GESTURES); g++)
		gestures[g].phase = IDLE;
}

static void act(uint8_t g, uint8_t which)
{
	if (field(g, which) != KW_NO)
		kw_action(field(g, which));
}

void kw_gesture_tick(void)
{
	for (uint8_t g = 0; g < kw_count(KW_GESTURES); g++) {
		const uint8_t phase = gestures[g].phase;

		if ((phase == PRESSED && field(g, 2) != KW_NO) || phase == PAUSE) {
			if (--gestures[g].timer != 0)
				continue;
			act(g, phase == PRESSED ? 2 : 1);
			gestures[g].phase = phase == PRESSED ? DONE : IDLE;
		}
	}
}

void kw_gesture_changed(uint8_t input, bool held)
{
	for (uint8_t g = 0; g < kw_count(KW_GESTURES); g++) {
		if (field(g, 0) != input)
			continue;
		if (held && gestures[g].phase == PAUSE) {
			act(g, 3);
			gestures[g].phase = DONE;
		} else if (held) {
			gestures[g].phase = PRESSED;
			gestures[g].timer = number(g, 4);
		} else if (gestures[g].phase == PRESSED && field(g, 3) != KW_NO) {
			gestures[g].phase = PAUSE;
			gestures[g].timer = number(g, 6);
		} else {
			if (gestures[g].phase == PRESSED)
				act(g, 1);
			gestures[g].phase = IDLE;
		}
	}
}
