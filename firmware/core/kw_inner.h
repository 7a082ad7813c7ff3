/* What the files of the core share. */
#ifndef KW_INNER_H
#define KW_INNER_H

#include "kw.h"

/* Reading the table: flash is not in the address space of every chip. */
#if defined(__AVR__)
#include <avr/pgmspace.h>
#define KW_ROM8(p) pgm_read_byte(p)
#define KW_IN_ROM PROGMEM
#else
#define KW_ROM8(p) (*(const uint8_t *)(p))
#define KW_IN_ROM
#endif

static inline uint16_t kw_rom16(const uint8_t *p) { return (uint16_t)(KW_ROM8(p) | (uint16_t)KW_ROM8(p + 1) << 8); }
static inline uint32_t kw_rom32(const uint8_t *p) { return kw_rom16(p) | (uint32_t)kw_rom16(p + 2) << 16; }

/* Sections of the table. Bit 7: a core that does not know the section must refuse the table. */
enum {
	KW_S_REPORTS = 0x81,  /* id, kind, length, start, interface, first key         6 bytes */
	KW_S_INPUTS = 0x82,   /* raw u16, bit u16, second bit u16, debounce, flags     8 */
	KW_S_PULSES = 0x83,   /* bit u16, length u16, gap u16                          6 */
	KW_S_TOGGLES = 0x84,  /* input, action when closed, action when opened, -      4 */
	KW_S_ENCODERS = 0x85, /* raw A, raw B, rest states, steps, see encoder.c      20 */
	KW_S_AXES = 0x86,     /* see axis.c                                           24 */
	KW_S_HATS = 0x87,     /* bit u16, inputs up, right, down, left                 6 */
	KW_S_LAMPS = 0x88,    /* what, flags, input or output bit u16                  4 */
	KW_S_GESTURES = 0x89, /* input, three actions, two times u16                   8 */
	KW_S_STEPS = 0x8A,    /* bit u16, press, -, wait u16                           6 */
	KW_S_MACROS = 0x8B,   /* first step, number of steps                           2 */
	KW_S_EVENTS = 0x8C,   /* see midi.c                                            8 */
	KW_S_CHOICES = 0x8D,  /* input, width, bit u16, value u16                      6 */
	KW_S_NEITHERS = 0x8E, /* bit u16, four inputs                                  6 */
};

struct kw_section {
	const uint8_t *at;
	uint16_t count;
	uint8_t stride;
};

/* Numbers of the sections as places in kw_sections. */
enum { KW_REPORTS, KW_INPUTS, KW_PULSES, KW_TOGGLES, KW_ENCODERS, KW_AXES, KW_HATS, KW_LAMPS, KW_GESTURES, KW_STEPS, KW_MACROS, KW_EVENTS, KW_CHOICES, KW_NEITHERS, KW_SECTIONS };

extern struct kw_section kw_sections[KW_SECTIONS];

static inline uint8_t kw_count(uint8_t section) { return (uint8_t)kw_sections[section].count; }

/* The start of a record. */
static inline const uint8_t *kw_record(uint8_t section, uint8_t i)
{
	return kw_sections[section].at + (uint16_t)i * kw_sections[section].stride;
}

/* One bit of eight. Two bits at most are shifted singly, and the rest by a constant. */
static inline uint8_t kw_mask(uint8_t n)
{
	uint8_t m = n & 1 ? 2 : 1;

	if (n & 2)
		m = (uint8_t)(m << 2);
	if (n & 4)
		m = (uint8_t)(m << 4);
	return m;
}

static inline bool kw_raw(const uint8_t *raw, uint8_t bit) { return (raw[bit >> 3] & kw_mask(bit & 7)) != 0; }

/* report.c: the state of all reports as one row of bits. */
bool kw_report_check(uint8_t i);
void kw_report_begin(void);
bool kw_store(uint16_t bit, uint8_t width, uint32_t value); /* true where it was something else before */
void kw_put(uint16_t bit, uint8_t width, uint32_t value);   /* stores, and marks the report if that changed it */
void kw_put1(uint16_t bit, bool on);                        /* the same for one bit; KW_NONE is passed over */
uint32_t kw_get(uint16_t bit, uint8_t width);
bool kw_fits(uint16_t bit, uint8_t width, uint8_t kind); /* whether the bits lie within one report of the kind */
uint8_t kw_report_of(uint16_t bit);                      /* the report that a bit lies in */
uint8_t kw_owner(uint16_t bit);                          /* the same, of a bit that does lie in one, at once */
void kw_mark(uint8_t report);                            /* something in it is to be sent */
bool kw_unmark(uint8_t report);                          /* whether it was to be sent; now it is not */

/* input.c */
bool kw_input_check(uint8_t i);
void kw_input_begin(const uint8_t *raw);
void kw_input_tick(const uint8_t *raw);
void kw_release(uint16_t bit); /* clears it, unless an input that is held sets it; KW_NONE is passed over */

/* pulse.c */
bool kw_pulse_check(uint8_t i);
bool kw_toggle_check(uint8_t i);
void kw_pulse_begin(void);
void kw_pulse_tick(void);
void kw_pulse_add(uint8_t pulse);    /* one more */
bool kw_pulse_cancel(uint8_t pulse); /* one less, if one is still waiting to begin */
void kw_toggle_changed(uint8_t input, bool held);

/* macro.c */
bool kw_step_check(uint8_t s);
bool kw_macro_check(uint8_t m);
void kw_macro_begin(void);
void kw_macro_tick(void);
bool kw_action_exists(uint8_t action); /* a pulse, or after those a macro */
void kw_action(uint8_t action);
bool kw_action_cancel(uint8_t action); /* one less, if one is still waiting to begin */

/* gesture.c */
bool kw_gesture_check(uint8_t g);
void kw_gesture_begin(void);
void kw_gesture_tick(void); /* before the inputs */
void kw_gesture_changed(uint8_t input, bool held);

/* encoder.c */
bool kw_encoder_check(uint8_t i);
void kw_encoder_begin(const uint8_t *raw);
void kw_encoder_taken(uint8_t report); /* a report was sent: its steps are done */
void kw_encoder_fill(uint8_t report);  /* a report is about to be sent: put the steps in */

/* axis.c */
bool kw_axis_check(uint8_t i);
void kw_axis_begin(void);

/* hat.c */
bool kw_hat_check(uint8_t i);
bool kw_neither_check(uint8_t i);
void kw_hat_update(void); /* and the neithers */

/* choice.c */
bool kw_choice_check(uint8_t i);
void kw_choice_made(uint8_t input);

/* midi.c */
bool kw_event_check(uint8_t i);
void kw_midi_begin(void);

/* lamp.c */
bool kw_lamp_check(uint8_t i);
void kw_lamp_begin(void);
void kw_lamp_pressed(uint8_t input);

/* crc.c: CRC-32 of IEEE 802.3, reflected. */
uint32_t kw_crc32(const uint8_t *rom, uint16_t length);

#endif
