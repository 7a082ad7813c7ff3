#include "../board/info.h"

#include <avr/pgmspace.h>

/* Ports B to F, as far as the chip has them: B0 to B7, C6, C7, D0 to D7, E2, E6, F0, F1, F4 to F7. Channels 0, 1, 4 to 7 (on F) and 8
 * to 13 (on D4, D6, D7, B4, B5, B6). Right behind the vectors. */
const uint8_t kwb_info[KWB_INFO_LENGTH] __attribute__((used, section(".progmem.gcc.info"))) =
	KWB_INFO(KW_CHIP_ATMEGA32U4, 0, 0x6000, 0x6000, 0x1000, 0x44FFC0FFUL, 0xF3UL, 0x3FF3);
