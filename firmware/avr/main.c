#include <avr/interrupt.h>
#include <avr/io.h>

#include "../board/hal.h"
#include "../board/kwb.h"
#include "../core/kw_inner.h"
#include "chip.h"

/*
 * The main loop: nothing in it takes long, so the host is never kept waiting. The order within a tick is the shortest way from a
 * contact to the report. GPIOR0 is 1 while a tick runs: whoever watches the chip can measure it.
 */
enum { TABLE = 0x6000, ROOM = 0x1000, SLICES_ASLEEP = 48 };

static void encoders(void)
{
	while (chip_past())
		kwb_sampled();
}

static bool often(uint8_t raw)
{
	const uint8_t *r;
	uint8_t stride;

	for (uint8_t n = kwb_records(KWB_S_DIRECT, &r, &stride); n > 0; n--, r += stride)
		if (KW_ROM8(r) == raw)
			return (KW_ROM8(r + 2) & 2) != 0;
	return false;
}

/* Whether an encoder is not on pins of its own that are sampled often: then it is looked at in each tick. */
static bool elsewhere(void)
{
	for (uint8_t e = 0; e < kw_count(KW_ENCODERS); e++)
		if (!often(KW_ROM8(kw_record(KW_ENCODERS, e))) || !often(KW_ROM8(kw_record(KW_ENCODERS, e) + 1)))
			return true;
	return false;
}

static bool sample;

static void look(void)
{
	encoders();
	kwb_look();
	if (sample)
		kw_sample(kwb_raw());
	kw_tick(kwb_raw());
}

/* Whether a contact is not as it was. */
static bool moved(uint8_t *was)
{
	bool any = false;

	for (uint8_t i = 0; i < KW_MAX_RAW / 8; i++) {
		any |= was[i] != kwb_raw()[i];
		was[i] = kwb_raw()[i];
	}
	return any;
}

static void slices(uint8_t n)
{
	for (; n > 0; n--)
		kwb_slice();
}

/* The bus is asleep: lamps dark, clocks off, a look at the contacts every 32 ms. One that moved wakes the host, if it wants to be woken. */
static void sleep(void)
{
	uint8_t was[KW_MAX_RAW / 8] = {0};

	kwb_dark = true;
	kwb_show();
	slices(2 * SLICES_ASLEEP); /* those of expanders too */
	moved(was);
	usb_freeze();
	while (!usb_stirred()) {
		chip_doze();
		slices(SLICES_ASLEEP);
		look();
		if (moved(was) && kwb_may_wake()) {
			usb_thaw();
			usb_wake_host();
			break;
		}
	}
	usb_thaw();
	kwb_dark = false;
	kwb_show();
	chip_due(); /* these are not ticks that came late */
}

int main(void)
{
	usb_detach(); /* a boot loader may have been on the bus: the host sees that it is gone */
	chip_quiet();
	chip_clock();
	if (kwb_begin((const uint8_t *)TABLE, ROOM) == KW_OK) {
		sample = elsewhere();
		chip_watch_pins();
		chip_ticks(kw_tick_us());
	} else {
		chip_ticks(1000);
	}
	usb_attach();
	chip_guard();
	for (;;) {
		uint8_t due;

		chip_tap();
		usb_poll();
		encoders();
		due = chip_due();
		if (due != 0) {
			GPIOR0 = 1;
			kwb_overruns = (uint16_t)(kwb_overruns + due - 1);
			look();
			GPIOR0 = 0;
		}
		usb_reports();
		if (usb_quiet()) /* the host has its answer */
			switch (kwb_command()) {
			case KWB_TO_LOADER:
				chip_loader();
			case KWB_RESTART:
				chip_restart();
			}
		if (usb_asleep())
			sleep();
		kwb_slice();
		kwb_show_next();
	}
}
