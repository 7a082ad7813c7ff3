#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/pgmspace.h>
#include <avr/sleep.h>
#include <avr/wdt.h>
#include <util/delay_basic.h>

#include "../board/hal.h"
#include "chip.h"

/*
 * Start, sleep, the watchdog, and the ways out. The watchdog stays on through a reset, and with its shortest time: it is stopped before
 * anything else runs.
 */
void chip_first(void) __attribute__((naked, used, section(".init3")));
void chip_first(void)
{
	MCUSR = 0;
	wdt_reset();
	WDTCSR = _BV(WDCE) | _BV(WDE);
	WDTCSR = 0;
}

/* All pins as after a reset, and nothing that interrupts: what a boot loader left, and what is left to one. */
void chip_quiet(void)
{
	TIMSK0 = TIMSK1 = TIMSK3 = TIMSK4 = 0;
	TCCR1B = 0;
	EIMSK = PCICR = 0;
	ADCSRA = 0;
	DDRB = DDRC = DDRD = DDRE = DDRF = 0;
	PORTB = PORTC = PORTD = PORTE = PORTF = 0;
}

void chip_guard(void) { wdt_enable(WDTO_250MS); }

void chip_tap(void) { wdt_reset(); }

EMPTY_INTERRUPT(WDT_vect)

/*
 * Power-down: the crystal stops, and the pull-ups of the inputs are off, so that contacts that are closed draw nothing: the supply current
 * is to be below what a sleeping bus allows. The watchdog's oscillator ends it.
 */
void chip_doze(void)
{
	const uint8_t b = PORTB, c = PORTC, d = PORTD, e = PORTE, f = PORTF;

	cli();
	TIMSK1 = 0;
	PORTB = b & DDRB;
	PORTC = c & DDRC;
	PORTD = d & DDRD;
	PORTE = e & DDRE;
	PORTF = f & DDRF;
	wdt_reset();
	WDTCSR = _BV(WDCE) | _BV(WDE);
	WDTCSR = _BV(WDIF) | _BV(WDIE) | _BV(WDP0); /* 32 ms, an interrupt */
	set_sleep_mode(SLEEP_MODE_PWR_DOWN);
	sleep_enable();
	if (!usb_stirred()) {
		sei();
		sleep_cpu(); /* the instruction after sei is done before any interrupt */
	}
	sleep_disable();
	PORTB = b;
	PORTC = c;
	PORTD = d;
	PORTE = e;
	PORTF = f;
	hal_settle(50);
	TIMSK1 = _BV(OCIE1A);
	sei();
	chip_guard();
}

/* 100 ms without the pull-up: the host sees that the device is gone. */
static void leave(void)
{
	usb_detach();
	for (uint8_t i = 0; i < 100; i++) {
		_delay_loop_2(4000);
		wdt_reset();
	}
	cli();
	chip_quiet();
}

void chip_restart(void)
{
	leave();
	wdt_enable(WDTO_15MS);
	for (;;)
		;
}

/*
 * The boot section is one of four sizes, by a fuse. A boot loader stands at its start, and this firmware never writes there; so the
 * lowest of the four starts that is not erased is the loader's. It is entered as from a reset for which no cause is on record, with
 * everything that was switched on switched off. Without a loader the panel starts again.
 */
void chip_loader(void)
{
	static const uint16_t starts[] PROGMEM = {0x7000, 0x7800, 0x7C00, 0x7E00};
	uint16_t at = 0;

	for (uint8_t i = 0; i < 4 && at == 0; i++)
		if (pgm_read_word((const uint16_t *)pgm_read_word(starts + i)) != 0xFFFF)
			at = pgm_read_word(starts + i);
	if (at == 0)
		chip_restart();
	leave();
	wdt_disable();
	MCUSR = 0;
	((void (*)(void))(at / 2))();
	for (;;)
		;
}
