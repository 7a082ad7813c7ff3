/* The PC as a chip: pins are those of nets.c. */
#ifndef HAL_CHIP_H
#define HAL_CHIP_H

#include "nets.h"

struct hal_pin {
	uint8_t n;
};

static inline struct hal_pin hal_resolve(uint8_t pin) { return (struct hal_pin){pin}; }
/* Pins that the table reads, looked at when the snapshot is taken. */
static inline void hal_snapshot(void) { nets_snapshot(); }
static inline bool hal_seen(struct hal_pin p) { return nets_seen(p.n); }
static inline bool hal_now(struct hal_pin p) { return nets_show(p.n) != '0'; }
static inline void hal_set(struct hal_pin p, bool high) { nets_chip(p.n, high ? HIGH : LOW); }
static inline void hal_drive(struct hal_pin p, bool low) { nets_chip(p.n, low ? LOW : NONE); }

#endif
