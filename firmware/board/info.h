/*
 * A block in every core's image that says what the core is and what it has room for, so that nobody has to know it from elsewhere. It
 * is found by its mark, which stands in an image once. Little endian:
 *
 *   0 "KWCORE1" and a byte of 0   8 length of the block   9 chip   10 interface of the core   11 endpoints besides 0
 *  12 version u16                14 room for the table u16
 *  16 address of the table u32   20 address of the core u32   24 where the core must end u32
 *  28 pins that a table may use, bit n for pin n, u64          36 channels likewise, u16
 *  38 raw bits, inputs, pulses, toggles, encoders, axes, hats, lamps, gestures, macros, their steps, reports, bytes of reports
 *  51 direct pins, rows or columns, chains, expanders, voltages, multiplexers, steps of ladders
 *  58 events of MIDI, choices, neithers, interfaces   62 nothing, u16
 *
 * A later core may have a longer block.
 */
#ifndef INFO_H
#define INFO_H

#include "kwb.h"

#define KWB_INFO_LENGTH 64
#define KWB_U16(v) (uint8_t)((v) & 0xFF), (uint8_t)((v) >> 8 & 0xFF)
#define KWB_U32(v) KWB_U16(v), KWB_U16((uint32_t)(v) >> 16)

/* pins as two halves: 0 to 31, 32 to 63 */
#define KWB_INFO(chip, core, end, table, room, pins, more, channels)                                                                       \
	{                                                                                                                                      \
		'K', 'W', 'C', 'O', 'R', 'E', '1', 0, KWB_INFO_LENGTH, chip, KW_ABI, KWB_MAX_ENDPOINTS, KWB_U16(KWB_VERSION), KWB_U16(room),        \
			KWB_U32(table), KWB_U32(core), KWB_U32(end), KWB_U32(pins), KWB_U32(more), KWB_U16(channels), KW_MAX_RAW, KW_MAX_INPUTS,        \
			KW_MAX_PULSES, KW_MAX_TOGGLES, KW_MAX_ENCODERS, KW_MAX_AXES, KW_MAX_HATS, KW_MAX_LAMPS, KW_MAX_GESTURES, KW_MAX_MACROS,         \
			KW_MAX_STEPS, KW_MAX_REPORTS, KW_MAX_STATE, KWB_MAX_DIRECT, KWB_MAX_LINES, KWB_MAX_CHAINS, KWB_MAX_EXPANDERS, KWB_MAX_ANALOG,   \
			KWB_MAX_MUXES, KWB_MAX_STEPS, KW_MAX_EVENTS, KW_MAX_CHOICES, KW_MAX_NEITHERS, KW_MAX_INTERFACES, 0, 0                                                                                             \
	}

#endif
