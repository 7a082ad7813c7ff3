/* A chip whose pins show noise: for tables that nobody has made with care. */
#ifndef HAL_CHIP_H
#define HAL_CHIP_H

#include <stdbool.h>
#include <stdint.h>

struct hal_pin {
	uint8_t n;
};

uint32_t noise(void);
void touch(uint8_t pin); /* stops the program where a pin is used that the chip has not */

static inline struct hal_pin hal_resolve(uint8_t pin)
{
	touch(pin);
	return (struct hal_pin){pin};
}
static inline void hal_snapshot(void) {}
static inline bool hal_seen(struct hal_pin p)
{
	touch(p.n);
	return noise() & 1;
}
static inline bool hal_now(struct hal_pin p)
{
	touch(p.n);
	return noise() & 1;
}
static inline void hal_set(struct hal_pin p, bool high)
{
	(void)high;
	touch(p.n);
}
static inline void hal_drive(struct hal_pin p, bool low)
{
	(void)low;
	touch(p.n);
}

#endif
