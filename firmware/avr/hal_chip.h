/* Pins of the ATmega32U4. PINx, DDRx and PORTx of the ports B to F follow one another in memory, three bytes a port. */
#ifndef HAL_CHIP_H
#define HAL_CHIP_H

#include <avr/io.h>
#include <stdbool.h>
#include <stdint.h>

/* An endpoint number of this chip has one direction only. */
#define HAL_ONE_WAY 1

/* Half a microsecond at 16 MHz, and what is done around it. */
#define HAL_PAUSE() __builtin_avr_delay_cycles(8)

enum { HAL_PORTS = 5, HAL_PORT_BYTES = 3, HAL_SPAN = (HAL_PORTS - 1) * HAL_PORT_BYTES + 1 };

struct hal_pin {
	uint8_t at; /* of PINx, counted from PINB */
	uint8_t mask;
};

/* The ports as the last snapshot has them, at the same distances as in memory. */
extern uint8_t hal_snap[HAL_SPAN];

static inline struct hal_pin hal_resolve(uint8_t pin)
{
	struct hal_pin p = {(uint8_t)((pin >> 3) * HAL_PORT_BYTES), 1};

	for (uint8_t n = pin & 7; n > 0; n--)
		p.mask = (uint8_t)(p.mask << 1);
	return p;
}

static inline void hal_snapshot(void)
{
	hal_snap[0] = PINB;
	hal_snap[3] = PINC;
	hal_snap[6] = PIND;
	hal_snap[9] = PINE;
	hal_snap[12] = PINF;
}

static inline __attribute__((always_inline)) volatile uint8_t *hal_registers(struct hal_pin p) { return &PINB + p.at; }

static inline bool hal_seen(struct hal_pin p) { return (hal_snap[p.at] & p.mask) != 0; }

static inline __attribute__((always_inline)) bool hal_now(struct hal_pin p) { return (hal_registers(p)[0] & p.mask) != 0; }

static inline __attribute__((always_inline)) void hal_set(struct hal_pin p, bool high)
{
	if (high)
		hal_registers(p)[2] |= p.mask;
	else
		hal_registers(p)[2] &= (uint8_t)~p.mask;
}

static inline __attribute__((always_inline)) void hal_drive(struct hal_pin p, bool low)
{
	if (low)
		hal_registers(p)[1] |= p.mask;
	else
		hal_registers(p)[1] &= (uint8_t)~p.mask;
}

#endif
