#include "hal.h"

#include "kw.h"
#include "run.h"

uint32_t hal_pins;

bool hal_pin_ok(uint8_t pin) { return pin < 32 && (HAL_PINS >> pin & 1) != 0; }
bool hal_channel_ok(uint8_t channel) { return channel < 4; }
uint8_t hal_chip_id(void) { return KW_CHIP_RP2040; }

void hal_mode(uint8_t pin, enum hal_mode mode)
{
	const uint32_t bit = 1u << pin;

	if (mode == HAL_HIGH)
		REG(SIO_OUT_SET) = bit;
	else
		REG(SIO_OUT_CLEAR) = bit;
	REG(PAD(pin)) = PAD_INPUT | PAD_SCHMITT | PAD_4MA | (mode == HAL_PULLUP ? PAD_PULLUP : 0);
	REG(IO_CTRL(pin)) = IO_SIO;
	if (mode == HAL_LOW || mode == HAL_HIGH)
		REG(SIO_OE_SET) = bit;
	else
		REG(SIO_OE_CLEAR) = bit;
}

/* 42 rounds of three cycles are a microsecond and a little, at 12 MHz 4 of them; all runs in memory, so nothing else takes time. */
void hal_settle(uint8_t us)
{
	uint32_t n = us * (kw_clock_is_low ? 4u : 42u);

	if (n == 0)
		return;
	__asm volatile("1: subs %0, #1\n bne 1b" : "+l"(n) : : "cc");
}

void hal_adc_start(uint8_t channel)
{
	REG(PAD(26u + channel)) = PAD_NO_OUTPUT; /* no pulls, and no logic that would sit half-way */
	if (!(REG(ADC_CS) & ADC_ON)) {
		REG(ADC_CS) = ADC_ON;
		hal_settle(10); /* it must be ready before it is started */
	}
	REG(ADC_CS) = ADC_ON | (uint32_t)channel << 12 | ADC_START;
}

bool hal_adc_ready(void) { return (REG(ADC_CS) & ADC_READY) != 0; }

/* Twelve bits, stretched so that full is full. */
uint16_t hal_adc(void)
{
	const uint32_t v = REG(ADC_RESULT) & 0xFFF;

	return (uint16_t)(v << 4 | v >> 8);
}
