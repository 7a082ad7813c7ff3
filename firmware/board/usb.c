#include "kwb_inner.h"

#include "../core/kw_inner.h"
#include "hal.h"

/*
 * The host's requests: chapter 9 of USB 2.0 and chapter 7 of HID 1.11. Descriptors come out of the table byte for byte; without a good
 * table out of the fallback below, a device that only tells the bench what is wrong. Everything that is not exactly right is
 * refused.
 */
enum { DEVICE = 1, CONFIGURATION = 2, STRING = 3, HID = 0x21, REPORT = 0x22 };
enum { INTERFACES = KW_MAX_INTERFACES };

uint16_t kwb_overruns;
uint8_t kwb_resets;

static struct {
	uint8_t address; /* to take after the status stage; 0x80: none */
	uint8_t configuration;
	bool wake;
	uint8_t halted_in, halted_out; /* one bit an endpoint */
	uint8_t idle[INTERFACES];      /* 4 ms; 0: only on change */
	uint16_t since[INTERFACES];    /* ms since the last report */
	uint8_t protocol[INTERFACES];
	uint8_t command;
	uint8_t out_interface, out_id, out_length; /* what a KWB_TAKE waits for */
} usb;

/* Whose reports each IN endpoint sends: of an interface, or events of MIDI. */
enum { NOBODY = 0xFF, MIDI = 0xFE };
static uint8_t sender[KWB_MAX_ENDPOINTS + 1];

/* Fallback: one interface, vendor page, one feature report (the identity). */
static const uint8_t fallback_report[] KW_IN_ROM = {
	0x06, 0x00, 0xFF, 0x09, 0x01, 0xA1, 0x01, 0x15, 0x00, 0x26, 0xFF, 0x00, 0x75, 0x08, 0x85, 0xF0, 0x95, 0x14, 0x09, 0x02, 0xB1, 0x02,
	0x85, 0xF2, 0x95, 0x04, 0x09, 0x03, 0xB1, 0x02, 0xC0,
};
static const uint8_t fallback_device[] KW_IN_ROM = {18, 1, 0x00, 0x02, 0, 0, 0, 64, 0x09, 0x12, 0x01, 0x00, 0x00, 0x01, 1, 2, 0, 1};
static const uint8_t fallback_configuration[] KW_IN_ROM = {
	9, 2, 34, 0, 1, 1, 0, 0x80, 50, 9, 4, 0, 0, 1, 3, 0, 0, 0, 9, 0x21, 0x11, 0x01, 0, 1, 0x22, sizeof fallback_report, 0, 7, 5, 0x81, 3, 16, 0, 10,
};
static const uint8_t fallback_languages[] KW_IN_ROM = {4, 3, 0x09, 0x04};
static const uint8_t fallback_maker[] KW_IN_ROM = {12, 3, 'p', 0, 'a', 0, 'n', 0, 'e', 0, 'l', 0};
static const uint8_t fallback_name[] KW_IN_ROM = {28, 3, 't', 0, 'a', 0, 'b', 0, 'l', 0, 'e', 0, ' ', 0, 'r', 0, 'e', 0, 'f', 0, 'u', 0, 's', 0, 'e', 0, 'd', 0};

static bool fallback(void)
{
	uint8_t s;
	uint16_t r;

	return kwb_state(&s, &r) != KW_OK;
}

static const uint8_t *blob(uint8_t type, uint16_t *length)
{
	if (!fallback())
		return kwb_blob(type, length);
	*length = 0;
	switch (type) {
	case KWB_S_DEVICE:
		*length = sizeof fallback_device;
		return fallback_device;
	case KWB_S_CONFIGURATION:
		*length = sizeof fallback_configuration;
		return fallback_configuration;
	case KWB_S_REPORT:
		*length = sizeof fallback_report;
		return fallback_report;
	case KWB_S_STRING:
		*length = sizeof fallback_languages;
		return fallback_languages;
	case KWB_S_STRING + 1:
		*length = sizeof fallback_maker;
		return fallback_maker;
	case KWB_S_STRING + 2:
		*length = sizeof fallback_name;
		return fallback_name;
	}
	return 0;
}

static uint8_t interfaces(void)
{
	uint16_t n;
	const uint8_t *c = blob(KWB_S_CONFIGURATION, &n);

	return n >= 9 ? KW_ROM8(c + 4) : 0;
}

/* The place of an interface's HID descriptor within the configuration. */
static const uint8_t *hid_of(uint8_t interface)
{
	uint16_t n, at = 0;
	const uint8_t *c = blob(KWB_S_CONFIGURATION, &n);
	uint8_t in = 0xFF;

	while (at + 2 <= n && KW_ROM8(c + at) >= 2) {
		if (KW_ROM8(c + at + 1) == 4)
			in = KW_ROM8(c + at + 2);
		if (KW_ROM8(c + at + 1) == HID && in == interface)
			return c + at;
		at = (uint16_t)(at + KW_ROM8(c + at));
	}
	return 0;
}

/* Whether an endpoint, with its direction, stands in the configuration. */
static bool has_endpoint(uint8_t address)
{
	uint16_t n, at = 0;
	const uint8_t *c = blob(KWB_S_CONFIGURATION, &n);

	if ((address & 0x0F) == 0)
		return true;
	while (at + 2 <= n && KW_ROM8(c + at) >= 2) {
		if (KW_ROM8(c + at + 1) == 5 && KW_ROM8(c + at + 2) == address)
			return true;
		at = (uint16_t)(at + KW_ROM8(c + at));
	}
	return false;
}

static uint8_t scratch[KW_MAX_STATE + 1 > 64 ? KW_MAX_STATE + 1 : 64];

static void rom(struct kwb_reply *r, const uint8_t *data, uint16_t length, uint16_t asked)
{
	if (!data || length == 0)
		return;
	r->kind = KWB_ROM;
	r->data = data;
	r->shorter = length < asked;
	r->length = length < asked ? length : asked;
}

static void ram(struct kwb_reply *r, uint16_t length, uint16_t asked)
{
	if (length == 0)
		return;
	r->kind = KWB_RAM;
	r->data = scratch;
	r->shorter = length < asked;
	r->length = length < asked ? length : asked;
}

static void get_descriptor(const uint8_t s[8], uint16_t asked, struct kwb_reply *r)
{
	const uint8_t index = s[2];
	uint16_t n;
	const uint8_t *d;

	switch (s[3]) {
	case DEVICE:
	case CONFIGURATION:
		if (index != 0 || s[4] != 0 || s[5] != 0)
			return;
		d = blob(s[3] == DEVICE ? KWB_S_DEVICE : KWB_S_CONFIGURATION, &n);
		rom(r, d, n, asked);
		return;
	case STRING:
		if (index > 15)
			return;
		d = blob((uint8_t)(KWB_S_STRING + index), &n);
		rom(r, d, n, asked);
		return;
	}
}

static void device_request(const uint8_t s[8], uint16_t value, uint16_t index, uint16_t length, struct kwb_reply *r)
{
	switch (s[1]) {
	case 0: /* GET_STATUS */
		if (s[0] == 0x80 && value == 0 && index == 0 && length == 2) {
			scratch[0] = usb.wake ? 2 : 0; /* fed by the bus */
			scratch[1] = 0;
			ram(r, 2, length);
		}
		return;
	case 1: /* CLEAR_FEATURE, SET_FEATURE: remote wake-up */
	case 3:
		if (s[0] == 0x00 && value == 1 && index == 0 && length == 0) {
			usb.wake = s[1] == 3;
			r->kind = KWB_ACK;
		}
		return;
	case 5: /* SET_ADDRESS */
		if (s[0] == 0x00 && value < 128 && index == 0 && length == 0) {
			usb.address = s[2];
			r->kind = KWB_ACK;
		}
		return;
	case 6:
		if (s[0] == 0x80)
			get_descriptor(s, length, r);
		return;
	case 8:
		if (s[0] == 0x80 && value == 0 && index == 0 && length == 1) {
			scratch[0] = usb.configuration;
			ram(r, 1, length);
		}
		return;
	case 9:
		if (s[0] == 0x00 && value < 2 && index == 0 && length == 0) {
			usb.configuration = s[2];
			usb.halted_in = usb.halted_out = 0;
			for (uint8_t i = 0; i < INTERFACES; i++)
				usb.protocol[i] = 1;
			kw_anew();
			r->kind = KWB_ACK;
		}
		return;
	}
}

static void interface_request(const uint8_t s[8], uint16_t value, uint16_t index, uint16_t length, struct kwb_reply *r)
{
	const uint8_t *d;
	uint16_t n;

	if (index >= interfaces())
		return;
	if (s[0] == 0x81 && s[1] == 6) { /* the descriptors of HID; a host may ask before it configures */
		if (s[3] == HID && s[2] == 0) {
			d = hid_of(s[4]);
			rom(r, d, 9, length);
		} else if (s[3] == REPORT && s[2] == 0 && s[4] < INTERFACES && hid_of(s[4])) {
			d = blob((uint8_t)(KWB_S_REPORT + s[4]), &n);
			rom(r, d, n, length);
		}
		return;
	}
	if (usb.configuration == 0)
		return;
	switch (s[1]) {
	case 0:
		if (s[0] == 0x81 && value == 0 && length == 2) {
			scratch[0] = scratch[1] = 0;
			ram(r, 2, length);
		}
		return;
	case 10: /* GET_INTERFACE */
		if (s[0] == 0x81 && value == 0 && length == 1) {
			scratch[0] = 0;
			ram(r, 1, length);
		}
		return;
	case 11: /* SET_INTERFACE: there are no others */
		if (s[0] == 0x01 && value == 0 && length == 0)
			r->kind = KWB_ACK;
		return;
	}
}

static void endpoint_request(const uint8_t s[8], uint16_t value, uint16_t index, uint16_t length, struct kwb_reply *r)
{
	const uint8_t bit = (uint8_t)(1u << (index & 7));
	uint8_t *halted = index & 0x80 ? &usb.halted_in : &usb.halted_out;

	if ((index & 0xFF70) != 0 || !has_endpoint((uint8_t)index) || (usb.configuration == 0 && (index & 0x0F) != 0))
		return;
	switch (s[1]) {
	case 0:
		if (s[0] == 0x82 && value == 0 && length == 2) {
			scratch[0] = (*halted & bit) != 0;
			scratch[1] = 0;
			ram(r, 2, length);
		}
		return;
	case 1:
	case 3: /* ENDPOINT_HALT; endpoint 0 is never halted */
		if (s[0] == 0x02 && value == 0 && length == 0) {
			if ((index & 0x0F) != 0)
				*halted = (uint8_t)(s[1] == 3 ? *halted | bit : *halted & ~bit);
			r->kind = KWB_ACK;
		}
		return;
	}
}

/* The bench's own reports, of the last interface: F0 identity, F1 raw bits, F2 a command, F3 counters. */
static uint8_t bench(void) { return (uint8_t)(interfaces() - 1); }

static void put16(uint8_t *p, uint16_t v)
{
	p[0] = (uint8_t)v;
	p[1] = (uint8_t)(v >> 8);
}

static uint8_t identity(void)
{
	uint8_t section;
	uint16_t record;
	const uint32_t crc = kwb_table_crc();
	uint8_t *p = scratch;

	p[0] = 0xF0;
	p[1] = 'K';
	p[2] = 'W';
	put16(p + 3, KWB_VERSION);
	p[5] = KW_ABI;
	p[6] = hal_chip_id();
	p[7] = (uint8_t)kwb_state(&section, &record);
	p[8] = section;
	put16(p + 9, record);
	put16(p + 11, (uint16_t)crc);
	put16(p + 13, (uint16_t)(crc >> 16));
	p[15] = KW_MAX_RAW / 8;
	p[16] = KW_MAX_INPUTS;
	p[17] = KW_MAX_STATE;
	p[18] = (uint8_t)kwb_missing();
	p[19] = kwb_resets;
	p[20] = (uint8_t)((uint16_t)kwb_missing() >> 8);
	return 21;
}

static uint8_t feature(uint8_t id)
{
	switch (id) {
	case 0xF0:
		return identity();
	case 0xF1:
		if (fallback())
			return 0;
		scratch[0] = 0xF1;
		for (uint8_t i = 0; i < KW_MAX_RAW / 8; i++)
			scratch[1 + i] = kwb_raw()[i];
		return 1 + KW_MAX_RAW / 8;
	case 0xF3:
		if (fallback())
			return 0;
		scratch[0] = 0xF3;
		put16(scratch + 1, kw_tick_us());
		put16(scratch + 3, kwb_overruns);
		return 5;
	}
	return 0;
}

/* In the boot protocol a keyboard's report is another one. */
static uint8_t boot(uint8_t interface, uint8_t *out, uint8_t n)
{
	const uint8_t other = n == 0 || usb.protocol[interface] != 0 ? 0 : kw_boot(interface, out);

	return other ? other : n;
}

static void class_request(const uint8_t s[8], uint16_t value, uint16_t index, uint16_t length, struct kwb_reply *r)
{
	const uint8_t i = s[4], id = s[2], kind = s[3];

	if (index >= interfaces() || i >= INTERFACES || !hid_of(i) || usb.configuration == 0)
		return;
	switch (s[1]) {
	case 1: /* GET_REPORT */
		if (s[0] != 0xA1 || length == 0)
			return;
		if (i == bench() && kind == 3)
			ram(r, feature(id), length);
		else if (i != bench() && kind == 1)
			ram(r, boot(i, scratch, kw_now(i, id, scratch)), length);
		return;
	case 9: /* SET_REPORT */
		if (s[0] != 0x21 || length == 0 || length > sizeof scratch)
			return;
		if (i == bench() ? kind != 3 || id != 0xF2 || length != 5 : kind != 2)
			return;
		usb.out_interface = i;
		usb.out_id = id;
		usb.out_length = (uint8_t)length;
		r->kind = KWB_TAKE;
		r->length = length;
		return;
	case 2: /* GET_IDLE */
		if (s[0] == 0xA1 && kind == 0 && length == 1) {
			scratch[0] = usb.idle[i];
			ram(r, 1, length);
		}
		return;
	case 10: /* SET_IDLE */
		if (s[0] == 0x21 && length == 0) {
			usb.idle[i] = kind;
			usb.since[i] = 0;
			r->kind = KWB_ACK;
		}
		return;
	case 3: /* GET_PROTOCOL: only a boot interface has one */
		if (s[0] == 0xA1 && value == 0 && length == 1 && KW_ROM8(hid_of(i) - 3) == 1) {
			scratch[0] = usb.protocol[i];
			ram(r, 1, length);
		}
		return;
	case 11:
		if (s[0] == 0x21 && value < 2 && length == 0 && KW_ROM8(hid_of(i) - 3) == 1) {
			usb.protocol[i] = (uint8_t)value;
			r->kind = KWB_ACK;
		}
		return;
	}
}

void kwb_setup(const uint8_t s[8], struct kwb_reply *r)
{
	const uint16_t value = (uint16_t)(s[2] | s[3] << 8), index = (uint16_t)(s[4] | s[5] << 8), length = (uint16_t)(s[6] | s[7] << 8);

	usb.address = 0x80; /* a new setup ends what was before it */
	usb.out_length = 0;
	r->kind = KWB_STALL;
	r->length = 0;
	r->data = 0;
	r->shorter = false;
	switch (s[0] & 0x7F) {
	case 0x00:
		device_request(s, value, index, length, r);
		break;
	case 0x01:
		interface_request(s, value, index, length, r);
		break;
	case 0x02:
		endpoint_request(s, value, index, length, r);
		break;
	case 0x21:
		class_request(s, value, index, length, r);
		break;
	}
}

bool kwb_out(const uint8_t *data, uint8_t length)
{
	const uint8_t want = usb.out_length;

	usb.out_length = 0;
	if (length != want || length == 0)
		return false;
	if (usb.out_interface == bench()) { /* the bench: number, then three letters that nobody sends by mistake, then what */
		if (data[0] != 0xF2 || data[1] != 'K' || data[2] != 'W' || data[3] != 'B' || data[4] == KWB_NOTHING || data[4] > KWB_RESTART)
			return false;
		usb.command = data[4];
		return true;
	}
	if (usb.out_id != 0) { /* the number stands before the data */
		if (data[0] != usb.out_id)
			return false;
		data++;
		length--;
	}
	return kw_give(usb.out_interface, usb.out_id, data, length);
}

uint8_t kwb_done(void)
{
	const uint8_t a = usb.address;

	usb.address = 0x80;
	return a;
}

uint8_t kwb_command(void)
{
	const uint8_t c = usb.command;

	usb.command = KWB_NOTHING;
	return c;
}

void kwb_bus_reset(void)
{
	usb.address = 0x80;
	usb.configuration = 0;
	usb.wake = false;
	usb.halted_in = usb.halted_out = 0;
	usb.out_length = 0;
	usb.command = KWB_NOTHING;
	for (uint8_t i = 0; i < INTERFACES; i++) {
		usb.idle[i] = 0;
		usb.since[i] = 0;
		usb.protocol[i] = 1;
	}
	kwb_resets++;
}

bool kwb_configured(void) { return usb.configuration != 0; }

bool kwb_halted(uint8_t endpoint) { return ((endpoint & 0x80 ? usb.halted_in : usb.halted_out) >> (endpoint & 7) & 1) != 0; }

bool kwb_may_wake(void) { return usb.wake; }

void kwb_ms(void)
{
	for (uint8_t i = 0; i < INTERFACES; i++)
		if (usb.since[i] < 0xFFFF)
			usb.since[i]++;
}

void kwb_usb_begin(void)
{
	const uint8_t *r;
	uint8_t stride;

	for (uint8_t n = 0; n <= KWB_MAX_ENDPOINTS; n++)
		sender[n] = NOBODY;
	for (uint8_t i = kwb_records(KWB_S_ENDPOINTS, &r, &stride); i > 0; i--, r += stride)
		if (KW_ROM8(r) & 0x80)
			sender[KW_ROM8(r) & 0x7F] = KW_ROM8(r + 3) == 2 ? (uint8_t)MIDI : KW_ROM8(r + 1);
}

uint8_t kwb_in(uint8_t endpoint, uint8_t *out)
{
	const uint8_t i = endpoint <= KWB_MAX_ENDPOINTS ? sender[endpoint] : (uint8_t)NOBODY;
	uint8_t n;

	if (i == NOBODY || usb.configuration == 0 || kwb_halted((uint8_t)(0x80 | endpoint)))
		return 0;
	if (i == MIDI)
		return kw_midi(out);
	n = kw_take(i, out);
	if (n == 0 && usb.idle[i] != 0 && usb.since[i] >= usb.idle[i] * 4u)
		n = kw_again(i, out);
	if (n != 0)
		usb.since[i] = 0;
	return boot(i, out, n);
}

/* Output reports, and what a host plays to a panel. */
void kwb_from_host(uint8_t endpoint, const uint8_t *data, uint8_t length)
{
	const uint8_t *r;
	uint8_t stride;

	if (length == 0 || usb.configuration == 0 || kwb_halted(endpoint))
		return;
	for (uint8_t k = kwb_records(KWB_S_ENDPOINTS, &r, &stride); k > 0; k--, r += stride) {
		const uint8_t i = KW_ROM8(r + 1);

		if (KW_ROM8(r) != endpoint)
			continue;
		if (KW_ROM8(r + 3) == 2)
			for (uint8_t n = 0; length - n >= 4; n += 4)
				kw_hear(data + n);
		else if (kw_numbered(i))
			kw_give(i, data[0], data + 1, (uint8_t)(length - 1));
		else
			kw_give(i, 0, data, length);
	}
}
