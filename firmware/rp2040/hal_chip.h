/* Pins of the RP2040: GPIO 0 to 29, converter channels 0 to 3 at GPIO 26 to 29. See ../board/hal.h. */
#ifndef HAL_CHIP_H
#define HAL_CHIP_H

#include "chip.h"

#include <stdbool.h>

#define HAL_PINS 0x3FFFFFFFu
#define HAL_CHANNELS 0x000Fu

struct hal_pin {
	uint32_t bit;
};

extern uint32_t hal_pins; /* as the last snapshot has them */

static inline struct hal_pin hal_resolve(uint8_t pin) { return (struct hal_pin){1u << pin}; }
static inline void hal_snapshot(void) { hal_pins = REG(SIO_IN); }
static inline bool hal_seen(struct hal_pin p) { return (hal_pins & p.bit) != 0; }
static inline bool hal_now(struct hal_pin p) { return (REG(SIO_IN) & p.bit) != 0; }

static inline void hal_set(struct hal_pin p, bool high)
{
	if (high)
		REG(SIO_OUT_SET) = p.bit;
	else
		REG(SIO_OUT_CLEAR) = p.bit;
}

static inline void hal_drive(struct hal_pin p, bool low)
{
	if (low) {
		REG(SIO_OUT_CLEAR) = p.bit;
		REG(SIO_OE_SET) = p.bit;
	} else {
		REG(SIO_OE_CLEAR) = p.bit;
	}
}

#endif
