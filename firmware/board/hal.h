/*
 * What the board layer wants of a chip. hal_chip.h of each chip defines struct hal_pin and the inline functions; the others are in its
 * own C file. Pins and channels are the chip's own numbers: RP2040 GPIO 0 to 29; ATmega32U4 8 * port + bit with ports B, C, D, E, F
 * as 0 to 4.
 */
#ifndef HAL_H
#define HAL_H

#include <stdbool.h>
#include <stdint.h>

enum hal_mode { HAL_FLOAT, HAL_PULLUP, HAL_LOW, HAL_HIGH };

/*
 * hal_chip.h:
 *   struct hal_pin                                     a pin, ready to be read fast
 *   static inline struct hal_pin hal_resolve(uint8_t)
 *   static inline void hal_snapshot(void)              reads all pins at once
 *   static inline bool hal_seen(struct hal_pin)        a pin as the last snapshot has it
 *   static inline bool hal_now(struct hal_pin)         a pin as it is now
 *   static inline void hal_set(struct hal_pin, bool)   drives an output
 *   static inline void hal_drive(struct hal_pin, bool) true: output, low; false: input, as it was (pull-ups stay off)
 *   #define HAL_ONE_WAY 1 where an endpoint number has one direction only
 */
#include "hal_chip.h"

/* A moment for a signal between two chips, half a microsecond or more. */
#ifndef HAL_PAUSE
#define HAL_PAUSE() hal_settle(1)
#endif

#ifndef HAL_ONE_WAY
#define HAL_ONE_WAY 0
#endif

bool hal_pin_ok(uint8_t pin);             /* may the table use it? */
void hal_mode(uint8_t pin, enum hal_mode);
void hal_settle(uint8_t us);              /* waits that long */
bool hal_channel_ok(uint8_t channel);
void hal_adc_start(uint8_t channel);      /* begins a reading */
bool hal_adc_ready(void);
uint16_t hal_adc(void);                   /* the reading, 0 to 65535 */

#define HAL_CHIP_ID hal_chip_id()
uint8_t hal_chip_id(void);                /* KW_CHIP_... */

#endif
