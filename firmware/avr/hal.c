#include "../board/hal.h"

#include <avr/interrupt.h>
#include <avr/wdt.h>
#include <util/delay_basic.h>

#include "../board/kwb.h"
#include "../core/kw_inner.h"
#include "chip.h"

/*
 * Pins, time and voltages. The same core runs with a crystal of 16 MHz and with one of 8 MHz: at start it measures its own clock against
 * the watchdog's oscillator, which runs at 128 kHz whatever the crystal does. They differ by a factor of two, and that oscillator by a
 * quarter at most.
 */
uint8_t hal_snap[HAL_SPAN];
static bool slow;

static uint8_t has(uint8_t port)
{
	static const uint8_t pins[HAL_PORTS] KW_IN_ROM = {0xFF, 0xC0, 0xFF, 0x44, 0xF3};

	return port < HAL_PORTS ? KW_ROM8(pins + port) : 0;
}

bool hal_pin_ok(uint8_t pin) { return (has(pin >> 3) >> (pin & 7) & 1) != 0; }

void hal_mode(uint8_t pin, enum hal_mode mode)
{
	const struct hal_pin p = hal_resolve(pin);

	if (mode == HAL_FLOAT || mode == HAL_PULLUP) {
		hal_drive(p, false);
		hal_set(p, mode == HAL_PULLUP);
	} else { /* the level first: no wrong one for a moment */
		hal_set(p, mode == HAL_HIGH);
		hal_drive(p, true);
	}
}

/* _delay_loop_2 takes four cycles. */
void hal_settle(uint8_t us)
{
	const uint16_t n = (uint16_t)(slow ? us * 2u : us * 4u);

	if (n != 0)
		_delay_loop_2(n);
}

uint8_t hal_chip_id(void) { return KW_CHIP_ATMEGA32U4; }

bool hal_channel_ok(uint8_t channel) { return channel < 14 && channel != 2 && channel != 3; }

/* The supply is the reference; 125 kHz: 104 us. */
void hal_adc_start(uint8_t channel)
{
	ADMUX = (uint8_t)(_BV(REFS0) | (channel & 7));
	ADCSRB = channel & 8 ? _BV(MUX5) : 0;
	ADCSRA = (uint8_t)(_BV(ADEN) | _BV(ADSC) | _BV(ADPS2) | _BV(ADPS1) | (slow ? 0 : _BV(ADPS0)));
}

bool hal_adc_ready(void) { return (ADCSRA & _BV(ADSC)) == 0; }

uint16_t hal_adc(void)
{
	const uint16_t v = ADC;

	return (uint16_t)(v << 6 | v >> 4);
}

bool chip_slow(void) { return slow; }

void chip_clock(void)
{
	uint16_t from;

	CLKPR = _BV(CLKPCE);
	CLKPR = 0;
	MCUCR |= _BV(JTD); /* twice within four cycles: F4 to F7 are pins, not JTAG */
	MCUCR |= _BV(JTD);
	/* Timer 1 counts clock / 64 from one overflow of the watchdog to the next: 16 ms are 4000 or 2000 */
	TCCR1A = 0;
	TCCR1B = _BV(CS11) | _BV(CS10);
	wdt_reset();
	WDTCSR = _BV(WDCE) | _BV(WDE);
	WDTCSR = _BV(WDIF) | _BV(WDIE); /* 16 ms, an interrupt that is polled: interrupts are off */
	while (!(WDTCSR & _BV(WDIF)))
		;
	from = TCNT1;
	WDTCSR = _BV(WDIF) | _BV(WDIE);
	while (!(WDTCSR & _BV(WDIF)))
		;
	slow = (uint16_t)(TCNT1 - from) < 2900;
	TCCR1B = 0;
	WDTCSR = _BV(WDCE) | _BV(WDE);
	WDTCSR = _BV(WDIF);
}

/*
 * The tick, and samples of the encoders' pins. The timer's interrupt samples at 4 to 8 kHz and keeps what has changed; the main loop
 * looks at it when it comes to it. So an encoder loses nothing while a request of the host or a long tick is being served.
 */
enum { SAMPLES = 16 };
static uint8_t watched[HAL_PORTS], last[HAL_PORTS];
static uint8_t ring[SAMPLES][HAL_PORTS];
static volatile uint8_t put, got;
static volatile uint8_t due;
static uint8_t parts, part; /* samples in a tick */

static uint8_t pins_of(uint8_t port)
{
	switch (port) {
	case 0:
		return PINB;
	case 1:
		return PINC;
	case 2:
		return PIND;
	case 3:
		return PINE;
	default:
		return PINF;
	}
}

ISR(TIMER1_COMPA_vect)
{
	const uint8_t b = PINB & watched[0], c = PINC & watched[1], d = PIND & watched[2], e = PINE & watched[3], f = PINF & watched[4];

	if (++part >= parts) {
		part = 0;
		if (due < 255)
			due++;
	}
	if (b == last[0] && c == last[1] && d == last[2] && e == last[3] && f == last[4])
		return;
	{
		const uint8_t at = put, next = (uint8_t)((at + 1) % SAMPLES);
		uint8_t *to = ring[at];

		if (next == got) /* full: this change is seen with the next one */
			return;
		to[0] = last[0] = b;
		to[1] = last[1] = c;
		to[2] = last[2] = d;
		to[3] = last[3] = e;
		to[4] = last[4] = f;
		put = next;
	}
}

bool chip_past(void)
{
	const uint8_t at = got;

	if (at == put)
		return false;
	for (uint8_t i = 0; i < HAL_PORTS; i++)
		hal_snap[i * HAL_PORT_BYTES] = ring[at][i];
	got = (uint8_t)((at + 1) % SAMPLES);
	return true;
}

void chip_watch_pins(void)
{
	const uint8_t *r;
	uint8_t stride;
	uint8_t n = kwb_records(KWB_S_DIRECT, &r, &stride);

	for (; n > 0; n--, r += stride)
		if (KW_ROM8(r + 2) & 2) {
			const struct hal_pin p = hal_resolve(KW_ROM8(r + 1));

			watched[p.at / HAL_PORT_BYTES] |= p.mask;
		}
	for (uint8_t i = 0; i < HAL_PORTS; i++)
		last[i] = pins_of(i) & watched[i];
}

/* Timer 1 counts clock / 8. */
void chip_ticks(uint16_t us)
{
	parts = us < 0xFF00u ? (uint8_t)((us >> 8) + 1) : 255; /* each about 256 us at most */
	part = 0;
	OCR1A = (uint16_t)((uint32_t)us * (slow ? 1u : 2u) / parts - 1);
	TCNT1 = 0;
	TCCR1A = 0;
	TCCR1B = _BV(WGM12) | _BV(CS11);
	TIFR1 = _BV(OCF1A);
	TIMSK1 = _BV(OCIE1A);
	sei();
}

uint8_t chip_due(void)
{
	uint8_t n;

	cli();
	n = due;
	due = 0;
	sei();
	return n;
}

