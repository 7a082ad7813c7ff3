/* The converter. See rig.h. */
#include "rig.h"

/*
 * From the data sheet: 13 clocks a conversion, 25 the first after it is switched on, of the prescaled clock; channels 0, 1, 4 to 7 and 8
 * to 13, in millivolts of a supply of 5 V. A multiplexer that has moved since the last sample leaves half of the old charge.
 */
enum { ADCL_ = 0x78, ADCH_ = 0x79, ADCSRA_ = 0x7A, ADCSRB_ = 0x7B, ADMUX_ = 0x7C, SUPPLY = 5000 };

static int mv[64];
static uint16_t result;
static bool on;
static int line_was[8];

void adc_set(int channel, int v)
{
	if (channel >= 0 && channel < 64)
		mv[channel] = v;
}

static int sample(void)
{
	const int m = (avr->data[ADMUX_] & 0x1F) | (avr->data[ADCSRB_] & 0x20);
	const int channel = m < 8 ? m : m >= 0x20 && m < 0x26 ? m - 0x20 + 8 : -1;
	int line = 0, mux, v;

	if (channel < 0 || channel == 2 || channel == 3) {
		rig_lint("the converter reads a channel that is none: %d", m);
		return 0;
	}
	if ((avr->data[ADMUX_] & 0xE0) != 0x40)
		rig_lint("the converter's reference is not the supply");
	mux = part_mux_of(channel, &line);
	v = mux < 0 ? mv[channel] : part_mux_mv(mux, line);
	if (mux >= 0 && line != line_was[mux]) {
		v = (v + part_mux_mv(mux, line_was[mux])) / 2;
		line_was[mux] = line;
	}
	v = v * 1024 / SUPPLY;
	return v > 1023 ? 1023 : v < 0 ? 0 : v;
}

static avr_cycle_count_t done(avr_t *a, avr_cycle_count_t when, void *param)
{
	(void)when;
	(void)param;
	result = (uint16_t)sample();
	a->data[ADCSRA_] = (uint8_t)((a->data[ADCSRA_] & ~0x40) | 0x10);
	return 0;
}

static void write_control(avr_t *a, avr_io_addr_t address, uint8_t v, void *param)
{
	static const int divider[] = {2, 2, 4, 8, 16, 32, 64, 128};
	const bool busy = a->data[address] & 0x40;
	const int clocks = on ? 13 : 25, div = divider[v & 7];

	(void)param;
	if (!(v & 0x80)) {
		on = false;
		avr_cycle_timer_cancel(a, done, NULL);
		a->data[address] = v & ~0x50;
		return;
	}
	if (v & 0x10)
		v &= (uint8_t)~0x10; /* cleared by a 1 */
	if (v & 0x40 && !busy) {
		if (a->frequency / (unsigned)div > 200000)
			rig_lint("the converter's clock is above 200 kHz");
		avr_cycle_timer_register(a, (avr_cycle_count_t)(clocks * div), done, NULL);
		on = true;
	} else if (v & 0x40) {
		rig_lint("a conversion is started while one runs");
	}
	a->data[address] = busy ? v | 0x40 : v;
}

static uint8_t read_low(avr_t *a, avr_io_addr_t address, void *param)
{
	(void)a;
	(void)address;
	(void)param;
	return (uint8_t)result;
}

static uint8_t read_high(avr_t *a, avr_io_addr_t address, void *param)
{
	(void)a;
	(void)address;
	(void)param;
	return (uint8_t)(result >> 8);
}

static void write_plain(avr_t *a, avr_io_addr_t address, uint8_t v, void *param)
{
	(void)param;
	a->data[address] = v;
}

void adc_hook(void)
{
	rig_hook(ADCL_, read_low, write_plain);
	rig_hook(ADCH_, read_high, write_plain);
	rig_hook(ADCSRA_, NULL, write_control);
	rig_hook(ADCSRB_, NULL, write_plain);
	rig_hook(ADMUX_, NULL, write_plain);
}

void adc_reset(void)
{
	on = false;
	result = 0;
}
