#include "rig.h"

#include <stdio.h>
#include <string.h>

#include "../../board/hal.h"
#include "../../board/kwb.h"

/*
 * The host's end of the bus, and as much of a USB controller as a chip has: packets of at most 64 bytes on endpoint 0, a refusal that
 * holds until the next SETUP, nothing heard by a wrong address. The firmware's answers come from ../../board/usb.c.
 */
enum { PACKET = 64, TOKEN_US = 25, RETRY_US = 500000 };
enum stage { IDLE, SENDING, TAKING, STATUS_IN, STATUS_OUT, REFUSED };
enum answer { ACK, NAK, STALL, TIMEOUT };

bool bus_asleep, bus_left;
static uint8_t own, spoken; /* the device's address, and the one that the host uses */
static bool begun;

static struct {
	enum stage stage;
	struct kwb_reply reply;
	unsigned at;
	bool short_end; /* an empty packet is still to come */
	uint8_t taken[256];
} control;

static uint8_t packet[PACKET + KW_MAX_STATE + 1];
static unsigned packet_length;

void bus_begin(void)
{
	begun = true;
	bus_asleep = bus_left = false;
	own = spoken = 0;
	control.stage = IDLE;
}

void bus_gone(bool gone) { bus_left = gone; }
void bus_sleep(bool asleep) { bus_asleep = asleep; }
void bus_address(uint8_t address) { spoken = address; }

bool bus_quiet(void) { return control.stage == IDLE || control.stage == REFUSED; }

static bool listens(void) { return begun && !bus_left && !bus_asleep && own == spoken; }

void bus_reset(void)
{
	if (!begun || bus_left)
		return;
	bus_asleep = false;
	kwb_bus_reset();
	own = spoken = 0;
	control.stage = IDLE;
	rig_pass(20000);
}

static void say(enum answer a)
{
	static const char *const word[] = {"ack", "nak", "stall", "timeout"};

	puts(word[a]);
}

static void hex(const uint8_t *b, unsigned n)
{
	printf("data ");
	for (unsigned i = 0; i < n; i++)
		printf("%02X", b[i]);
	putchar('\n');
}

static enum answer setup(const uint8_t s[8])
{
	rig_pass(TOKEN_US);
	if (!listens())
		return TIMEOUT;
	kwb_setup(s, &control.reply);
	control.at = 0;
	control.short_end = false;
	switch (control.reply.kind) {
	case KWB_RAM:
	case KWB_ROM:
		control.stage = SENDING;
		break;
	case KWB_TAKE:
		control.stage = TAKING;
		break;
	case KWB_ACK:
		control.stage = STATUS_IN;
		break;
	default:
		control.stage = REFUSED;
	}
	return ACK;
}

/* The next packet of what the host reads. An empty one ends it where the host could not know otherwise. */
static enum answer send0(void)
{
	const unsigned left = control.reply.length - control.at;

	if (left == 0 && !(control.reply.shorter && control.reply.length % PACKET == 0 && !control.short_end))
		return STALL;
	control.short_end = left == 0;
	packet_length = left < PACKET ? left : PACKET;
	memcpy(packet, control.reply.data + control.at, packet_length);
	control.at += packet_length;
	return ACK;
}

static enum answer in0(void)
{
	uint8_t a;

	switch (control.stage) {
	case SENDING:
		return send0();
	case STATUS_IN:
		packet_length = 0;
		control.stage = IDLE;
		a = kwb_done();
		if (a != 0x80)
			own = a;
		return ACK;
	case REFUSED:
		return STALL;
	default:
		return NAK;
	}
}

static enum answer out0(const uint8_t *data, unsigned n)
{
	switch (control.stage) {
	case SENDING: /* the host may end it early */
		control.stage = IDLE;
		kwb_done();
		return n == 0 ? ACK : STALL;
	case TAKING:
		if (control.at + n > control.reply.length) {
			control.stage = REFUSED;
			return STALL;
		}
		memcpy(control.taken + control.at, data, n);
		control.at += n;
		if (control.at == control.reply.length || n < PACKET)
			control.stage = kwb_out(control.taken, (uint8_t)control.at) ? STATUS_IN : REFUSED;
		return ACK;
	case REFUSED:
		return STALL;
	default:
		return NAK;
	}
}

static bool has(uint8_t endpoint)
{
	const uint8_t *at;
	uint8_t stride, n = kwb_records(KWB_S_ENDPOINTS, &at, &stride), section;
	uint16_t record;

	if (kwb_state(&section, &record) != KW_OK)
		return endpoint == 0x81;
	for (; n > 0; n--, at += stride)
		if (*at == endpoint)
			return true;
	return false;
}

static enum answer in(uint8_t endpoint)
{
	rig_pass(TOKEN_US);
	if (!listens())
		return TIMEOUT;
	if (endpoint == 0)
		return in0();
	if (!kwb_configured() || !has((uint8_t)(0x80 | endpoint)))
		return TIMEOUT;
	if (kwb_halted((uint8_t)(0x80 | endpoint)))
		return STALL;
	packet_length = kwb_in(endpoint, packet);
	return packet_length ? ACK : NAK;
}

static enum answer out(uint8_t endpoint, const uint8_t *data, unsigned n)
{
	rig_pass(TOKEN_US);
	if (!listens())
		return TIMEOUT;
	if (endpoint == 0)
		return out0(data, n);
	if (!kwb_configured() || !has(endpoint))
		return TIMEOUT;
	if (kwb_halted(endpoint))
		return STALL;
	kwb_from_host(endpoint, data, (uint8_t)n);
	return ACK;
}

static enum answer retry_in(void)
{
	enum answer a;

	for (unsigned t = 0; (a = in(0)) == NAK && t < RETRY_US; t += TOKEN_US)
		;
	return a == NAK ? TIMEOUT : a;
}

static enum answer retry_out(const uint8_t *data, unsigned n)
{
	enum answer a;

	for (unsigned t = 0; (a = out(0, data, n)) == NAK && t < RETRY_US; t += TOKEN_US)
		;
	return a == NAK ? TIMEOUT : a;
}

void bus_token(const uint8_t s[8]) { say(setup(s)); }

void bus_transfer(const uint8_t s[8], const uint8_t *data, unsigned n)
{
	static uint8_t got[65536 + PACKET];
	const unsigned asked = s[6] | (unsigned)s[7] << 8;
	unsigned length = 0;
	enum answer a = setup(s);

	if (a == ACK && s[0] & 0x80 && asked > 0) {
		do {
			a = retry_in();
			if (a == ACK) {
				memcpy(got + length, packet, packet_length);
				length += packet_length;
			}
		} while (a == ACK && packet_length == PACKET && length < asked);
		if (a == ACK)
			a = retry_out(NULL, 0);
		if (a == ACK) {
			hex(got, length);
			return;
		}
	} else if (a == ACK) {
		for (unsigned at = 0; a == ACK && at < n; at += PACKET)
			a = retry_out(data + at, n - at < PACKET ? n - at : PACKET);
		if (a == ACK)
			a = retry_in();
	}
	say(a);
}

void bus_twice(const uint8_t first[8], const uint8_t s[8])
{
	if (setup(first) != ACK)
		say(TIMEOUT);
	else
		bus_transfer(s, NULL, 0);
}

void bus_in(uint8_t endpoint)
{
	const enum answer a = in(endpoint);

	if (a == ACK)
		hex(packet, packet_length);
	else
		say(a);
}

void bus_out(uint8_t endpoint, const uint8_t *data, unsigned n) { say(out(endpoint, data, n)); }
