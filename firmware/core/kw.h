/*
 * The portable core of the panel firmware: what happens to a contact's bit, an encoder's two bits or a slide's voltage until it is a
 * bit of a report. It knows no chip, no pins and no USB. The layer of a chip reads the contacts into one row of bits ("raw"), calls
 * kw_tick at a fixed rate, hands over voltages, sends the reports that kw_take gives, and lights the lamps that kw_lamp names.
 *
 * Everything is static: no heap, no recursion, and one instance. All that differs between two panels stands in a table in flash,
 * checked once by kw_begin. A table that is not right in every field is refused, and then nothing moves.
 *
 * C99. Numbers in the table are little endian. Time is counted in ticks of the length that the table states.
 */
#ifndef KW_H
#define KW_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/*
 * Limits. The table is checked against them. The small ones leave an ATmega32U4, with 2560 bytes of memory in all, room for its USB
 * buffers and its stack.
 */
#if defined(__AVR__) || defined(KW_SMALL) /* KW_SMALL: the same limits elsewhere, for tests */
#define KW_MAX_RAW 96 /* raw bits; a multiple of 8, at most 248 */
#define KW_MAX_INPUTS 96 /* at most 254 */
#define KW_MAX_PULSES 32
#define KW_MAX_TOGGLES 32
#define KW_MAX_ENCODERS 8
#define KW_MAX_AXES 12
#define KW_MAX_HATS 4
#define KW_MAX_LAMPS 32
#define KW_MAX_GESTURES 16
#define KW_MAX_MACROS 8
#define KW_MAX_STEPS 64 /* of all macros */
#define KW_MAX_REPORTS 8
#define KW_MAX_EVENTS 32   /* of MIDI */
#define KW_MAX_CHOICES 24
#define KW_MAX_NEITHERS 8
#define KW_MAX_STATE 64 /* bytes of all reports together, without their numbers */
#else
#define KW_MAX_RAW 248
#define KW_MAX_INPUTS 240
#define KW_MAX_PULSES 64
#define KW_MAX_TOGGLES 64
#define KW_MAX_ENCODERS 16
#define KW_MAX_AXES 12
#define KW_MAX_HATS 4
#define KW_MAX_LAMPS 96
#define KW_MAX_GESTURES 32
#define KW_MAX_MACROS 32
#define KW_MAX_STEPS 240
#define KW_MAX_REPORTS 8
#define KW_MAX_EVENTS 128
#define KW_MAX_CHOICES 96
#define KW_MAX_NEITHERS 16
#define KW_MAX_STATE 96
#endif

#define KW_MAX_INTERFACES 6

#define KW_ABI 3    /* what a table may ask for at least */
#define KW_NONE 0xFFFFu /* no bit */
#define KW_NO 0xFFu /* no pulse, no action, no input */

/* Chips that a table is for. */
enum { KW_CHIP_HOST = 0, KW_CHIP_RP2040 = 1, KW_CHIP_ATMEGA32U4 = 2 };

/* Why a table is refused. The numbers are shown by the fallback device; they do not change. */
enum kw_error {
	KW_OK = 0,
	KW_NO_TABLE = 1,   /* the mark at its start is missing: erased or never written */
	KW_VERSION = 2,    /* a format or an interface that this core does not know */
	KW_OTHER_CHIP = 3, /* for another chip */
	KW_LENGTH = 4,     /* its length does not fit its place or itself */
	KW_CHECKSUM = 5,
	KW_SECTION = 6, /* a section that is unknown and cannot be passed over, is double, or lies outside */
	KW_LIMIT = 7,   /* more of something than this core has room for */
	KW_VALUE = 8,   /* a field of a section that makes no sense; kw_where says which */
};

/* Kinds of reports. */
enum {
	KW_INPUT = 0,
	KW_OUTPUT = 1,
	KW_MIDI = 2, /* never sent as it stands: events are made of what changes in it */
};

/*
 * Reads and checks a table of at most room bytes, made for a chip. raw is the row of bits now: contacts that are closed already count
 * as held, and give no pulse. On KW_OK the core is ready.
 */
enum kw_error kw_begin(const uint8_t *table, uint16_t room, uint8_t chip, const uint8_t *raw);

/* After KW_SECTION, KW_LIMIT and KW_VALUE: the section's type and the number of the record within it. */
void kw_where(uint8_t *section, uint16_t *record);

/* Length of a tick, in microseconds. */
uint16_t kw_tick_us(void);

/* Looks at the encoders' contacts only. May be called more often than kw_tick: encoders are quick, and contacts are not. */
void kw_sample(const uint8_t *raw);

/* One tick: time passes for contacts, they are looked at, and pulses begin and end. Does not look at encoders. */
void kw_tick(const uint8_t *raw);

/* A new reading of an axis, by its number in the table, 0 to 65535. */
void kw_reading(uint8_t axis, uint16_t value);

/* The channel that an axis reads, or KW_NO. */
uint8_t kw_channel(uint8_t axis);

/* A host begins: it is told how everything stands. */
void kw_anew(void);

/*
 * The next input report of an interface that has changed: writes it, with its number first if it has one, and gives its length; 0 where nothing has
 * changed. Reports take turns. Steps of relative axes are taken out of the report as they are sent. out must have room for
 * KW_MAX_STATE + 1 bytes.
 */
uint8_t kw_take(uint8_t interface, uint8_t *out);

/* Whether kw_take or kw_midi would have something to give, of whichever interface. */
bool kw_waiting(void);

/* The next input report in turn as it stands, changed or not: for a host that wants to hear at a fixed rate. 0 where there is none. */
uint8_t kw_again(uint8_t interface, uint8_t *out);

/* Whether the reports of an interface bear numbers. */
bool kw_numbered(uint8_t interface);

/* An input report as it stands now, changed or not (for the request that asks for it); 0 where there is none of this number. */
uint8_t kw_now(uint8_t interface, uint8_t id, uint8_t *out);

/* An output report from the host, without its number. False, and nothing done, where the number or the length is not right. */
bool kw_give(uint8_t interface, uint8_t id, const uint8_t *data, uint8_t length);

/*
 * The keys of an interface as the report of a boot keyboard (HID 1.11, Appendix B.1): modifiers, nothing, six keys by number, all of them
 * 1 while more are held. Its length, 8, or 0 where the interface is no keyboard.
 */
enum { KW_BOOT_LENGTH = 8 };
uint8_t kw_boot(uint8_t interface, uint8_t *out);

/* What has changed, as event packets of USB-MIDI (four bytes each), 64 bytes at most; their length. */
enum { KW_MIDI_LENGTH = 64 };
uint8_t kw_midi(uint8_t *out);

/* An event packet of USB-MIDI from the host, four bytes: lights and darkens the lamps that go by it. */
void kw_hear(const uint8_t *event);

/* Whether a lamp is lit. */
bool kw_lamp(uint8_t lamp);

/* Number of lamps in the table. */
uint8_t kw_lamps(void);

/* Whether an input is held, after debouncing. */
bool kw_held(uint8_t input);

#endif
