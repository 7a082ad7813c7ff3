/*
 * The board layer of the panel firmware: which pin is what, how contacts get into the row of raw bits, and what the host's requests are
 * answered. It is portable too: pins, voltages and the USB hardware are behind hal.h, of which each chip has its own. The core
 * (../core) knows nothing of all this.
 */
#ifndef KWB_H
#define KWB_H

#include "kw.h"

#ifndef KWB_MAX_DIRECT
#define KWB_MAX_DIRECT 48
#endif
#ifndef KWB_MAX_LINES
#define KWB_MAX_LINES 16 /* rows, and columns, of the matrix */
#endif
#ifndef KWB_MAX_CHAINS
#define KWB_MAX_CHAINS 2
#endif
#ifndef KWB_MAX_EXPANDERS
#define KWB_MAX_EXPANDERS 16 /* at most 16 */
#endif
#ifndef KWB_MAX_ANALOG
#define KWB_MAX_ANALOG 16
#endif
#ifndef KWB_MAX_MUXES
#define KWB_MAX_MUXES 4
#endif
#ifndef KWB_MAX_STEPS
#define KWB_MAX_STEPS 32 /* of all ladders together */
#endif
#ifndef KWB_MAX_ENDPOINTS
#define KWB_MAX_ENDPOINTS 6
#endif

/* One bit for each expander. */
#if KWB_MAX_EXPANDERS > 8
typedef uint16_t kwb_set;
#else
typedef uint8_t kwb_set;
#endif

/* Firmware version, shown to the bench: 8 bits major, 8 bits minor. */
#define KWB_VERSION 0x0001u

/*
 * Sections of the table that belong to the board. The core passes them over; kwb_begin refuses a table in which one is wrong.
 * Blobs have stride 1 and are served byte for byte.
 */
enum {
	KWB_S_DEVICE = 0x01,        /* device descriptor */
	KWB_S_CONFIGURATION = 0x02, /* configuration descriptor, whole */
	KWB_S_REPORT = 0x08,        /* + interface, 0 to 5: report descriptor */
	KWB_S_STRING = 0x10,        /* + index, 0 to 15: string descriptor */
	KWB_S_ENDPOINTS = 0x20,     /* number, 0x80 for IN; interface; size; kind: 3 interrupt (HID), 2 bulk (MIDI)   4 bytes */
	KWB_S_DIRECT = 0x30,        /* raw u8, pin, flags: 1 pull-up, 2 encoder (sampled often); -           4 */
	KWB_S_MATRIX = 0x31,        /* raw base, rows, columns, settle us                                    4 */
	KWB_S_ROWS = 0x32,          /* pin, driven low in turn                                               1 */
	KWB_S_COLUMNS = 0x33,       /* pin, read, with pull-up                                               1 */
	KWB_S_CHAINS = 0x34,        /* raw base, bits, load pin, clock pin, data pin, flags: 1 inverted      6 */
	KWB_S_EXPANDERS = 0x35,     /* raw base, address, data pin, clock pin, inputs u16, first lamp, -     8 */
	KWB_S_MUXES = 0x36,         /* channel, select pins 0, 1, 2                                          4 */
	KWB_S_ANALOG = 0x37,        /* axis or KW_NO, channel, mux or KW_NO, line of the mux                 4 */
	KWB_S_LADDERS = 0x38,       /* channel, raw base, steps, first threshold                             4 */
	KWB_S_STEPS = 0x39,         /* reading u16 up to which the step holds, rising                        2 */
	KWB_S_LAMPS = 0x3A,         /* pin, lamp, flags: 1 lit when low, -                                   4 */
};

/* Errors of the board's own sections come as KW_SECTION, KW_LIMIT or KW_VALUE with kwb_where. */
enum kw_error kwb_begin(const uint8_t *table, uint16_t room);

/* What kwb_begin found: error, section and record. */
enum kw_error kwb_state(uint8_t *section, uint16_t *record);

/* CRC of the table in force; 0 without one. */
uint32_t kwb_table_crc(void);

/* The bytes of a section, or NULL; NULL too while the fallback is in force. */
const uint8_t *kwb_blob(uint8_t type, uint16_t *length);

/* Records of a section; 0 where there is none. */
uint8_t kwb_records(uint8_t type, const uint8_t **at, uint8_t *stride);

/*
 * scan.c. kwb_look reads the direct pins, but those of encoders, the matrix, and 32 bits of a chain; it is called once a tick. kwb_slice
 * does the next piece of what takes long (a byte on the I2C bus, a voltage); the main loop calls it as often as it can.
 * kwb_encoders reads the pins of encoders and hands them to the core; kwb_sampled does the same with the pins as the last snapshot has
 * them. kwb_show lights all lamps as the core says, and kwb_show_next the next one of them, which takes less at a time.
 */
void kwb_scan_begin(void);
void kwb_look(void);
void kwb_slice(void);
void kwb_encoders(void);
void kwb_sampled(void);
void kwb_show(void);
void kwb_show_next(void);
const uint8_t *kwb_raw(void);
extern bool kwb_dark;      /* the bus sleeps: no lamp is lit */
kwb_set kwb_missing(void); /* the expanders that did not answer */

/* usb.c: the control requests. kwb_usb_begin looks which endpoints the table has. */
void kwb_usb_begin(void);

enum kwb_kind {
	KWB_STALL,  /* refuse */
	KWB_ACK,    /* nothing to send: the status stage only */
	KWB_RAM,    /* send from memory */
	KWB_ROM,    /* send from flash */
	KWB_TAKE,   /* data follows: hand it to kwb_out */
};

struct kwb_reply {
	uint8_t kind;
	uint16_t length; /* at most what the host asked for */
	const uint8_t *data;
	bool shorter; /* fewer bytes than asked for: if the last packet is full, an empty one ends it */
};

/* A setup packet. */
void kwb_setup(const uint8_t s[8], struct kwb_reply *r);

/* The data that a KWB_TAKE asked for; false: refuse. */
bool kwb_out(const uint8_t *data, uint8_t length);

/* The status stage of the last request is through: an address or a command comes into force. Gives the address to take, or 0x80 when it
 * stays. */
uint8_t kwb_done(void);

void kwb_bus_reset(void);
bool kwb_configured(void);
bool kwb_halted(uint8_t endpoint);
bool kwb_may_wake(void);

/* A millisecond of the bus has passed: idle rates. */
void kwb_ms(void);

/* The next packet for an IN endpoint, or 0. */
uint8_t kwb_in(uint8_t endpoint, uint8_t *out);

/* A packet that came to an OUT endpoint. */
void kwb_from_host(uint8_t endpoint, const uint8_t *data, uint8_t length);

/* What the host asked for by the bench interface; cleared by reading. */
enum { KWB_NOTHING, KWB_TO_LOADER, KWB_RESTART };
uint8_t kwb_command(void);

/* Counters for the bench. */
extern uint16_t kwb_overruns; /* ticks that came late */
extern uint8_t kwb_resets;    /* bus resets */

#endif
