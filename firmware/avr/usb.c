#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/pgmspace.h>

#include "../board/kwb.h"
#include "../core/kw_inner.h"
#include "chip.h"

/*
 * The USB controller, polled. Flags of UEINTX and UDINT are cleared by writing 0, and 1 leaves them: never by reading, changing and
 * writing back. Endpoints are set up in rising order, because their memory is given out in that order; each has one bank.
 */
enum { MOST = 64, ENDPOINTS = 7 };

#define CLEAR(reg, bits) ((reg) = (uint8_t)~(bits))

/* What endpoint 0 is doing. */
enum { IDLE, SENDING, TAKING, STATUS };
static struct {
	uint8_t doing;
	bool rom, shorter, full; /* full: the last packet was */
	const uint8_t *data;
	uint16_t left;
} zero;

static struct {
	uint8_t number; /* 0: none */
	bool in;
} endpoints[KWB_MAX_ENDPOINTS];

static bool asleep;
static uint8_t frame;

static void clock_on(void)
{
	PLLFRQ = _BV(PDIV2); /* 48 MHz, straight to the controller */
	PLLCSR = chip_slow() ? 0 : _BV(PINDIV);
	PLLCSR |= _BV(PLLE);
	while (!(PLLCSR & _BV(PLOCK)))
		;
}

void usb_attach(void)
{
	UHWCON = _BV(UVREGE);
	USBCON = _BV(USBE) | _BV(FRZCLK);
	clock_on();
	USBCON = _BV(USBE) | _BV(OTGPADE);
	UDIEN = 0;
	UDINT = 0;
	UDCON = 0; /* full speed, pull-up on */
}

void usb_detach(void)
{
	UDCON = _BV(DETACH);
	USBCON = 0; /* which also resets the controller */
	PLLCSR = 0;
	UHWCON = 0;
}

/* Size as UECFG1X wants it: 8, 16, 32, 64. */
static uint8_t size_bits(uint8_t size)
{
	uint8_t b = 0;

	for (uint8_t s = 8; s < size && s < MOST; s = (uint8_t)(s << 1))
		b++;
	return (uint8_t)(b << EPSIZE0);
}

static void endpoint(uint8_t number, uint8_t type, bool in, uint8_t size)
{
	UENUM = number;
	UECONX = _BV(EPEN);
	UECFG0X = (uint8_t)(type << EPTYPE0 | (in ? _BV(EPDIR) : 0));
	UECFG1X = (uint8_t)(size_bits(size) | _BV(ALLOC));
	if (number != 0)
		UECONX = _BV(RSTDT) | _BV(EPEN);
}

/* The endpoints of the table, or the one of the fallback. */
static void configure(void)
{
	const uint8_t *r, *first;
	uint8_t stride, n = 0;
	const uint8_t count = kwb_records(KWB_S_ENDPOINTS, &first, &stride);
	uint8_t section;
	uint16_t record;

	for (uint8_t k = ENDPOINTS - 1; k > 0; k--) {
		UENUM = k;
		UECONX = 0;
		UECFG1X = 0;
	}
	for (uint8_t i = 0; i < KWB_MAX_ENDPOINTS; i++)
		endpoints[i].number = 0;
	if (!kwb_configured())
		return;
	if (kwb_state(&section, &record) != KW_OK) {
		endpoint(1, 3, true, 16);
	} else {
		for (uint8_t k = 1; k <= KWB_MAX_ENDPOINTS; k++) {
			r = first;
			for (uint8_t i = 0; i < count; i++, r += stride)
				if ((KW_ROM8(r) & 0x7F) == k) {
					endpoints[n].number = k;
					endpoints[n].in = (KW_ROM8(r) & 0x80) != 0;
					endpoint(k, KW_ROM8(r + 3), endpoints[n].in, KW_ROM8(r + 2));
					n++;
				}
		}
	}
}

/* The host has stopped an endpoint, or lets it go again; then its toggle starts anew. */
static void halt(uint8_t address)
{
	if ((address & 0x0F) == 0)
		return;
	UENUM = address & 0x07;
	UECONX = kwb_halted(address) ? _BV(STALLRQ) | _BV(EPEN) : _BV(STALLRQC) | _BV(RSTDT) | _BV(EPEN);
	UENUM = 0;
}

static void stall(void)
{
	UECONX = _BV(STALLRQ) | _BV(EPEN); /* until the next setup packet */
	zero.doing = IDLE;
}

static void setup(void)
{
	uint8_t s[8];
	struct kwb_reply r;

	for (uint8_t i = 0; i < 8; i++)
		s[i] = UEDATX;
	/* a packet of the host that has not been looked at belongs to what this setup ends; the next one cannot come before RXSTPI is 0 */
	CLEAR(UEINTX, UEINTX & _BV(RXOUTI) ? _BV(RXSTPI) | _BV(RXOUTI) : _BV(RXSTPI));
	kwb_setup(s, &r);
	if (r.kind == KWB_ACK && s[0] == 0x00 && s[1] == 9)
		configure();
	if (r.kind == KWB_ACK && s[0] == 0x02 && (s[1] == 1 || s[1] == 3))
		halt(s[4]);
	UENUM = 0;
	if (UEINTX & _BV(RXSTPI)) { /* the next one is there: this one is over */
		zero.doing = IDLE;
		return;
	}
	switch (r.kind) {
	case KWB_RAM:
	case KWB_ROM:
		zero.doing = SENDING;
		zero.rom = r.kind == KWB_ROM;
		zero.data = r.data;
		zero.left = r.length;
		zero.shorter = r.shorter;
		zero.full = true; /* nothing sent yet: there is at least one packet */
		break;
	case KWB_TAKE:
		if (r.length > MOST) {
			stall();
			break;
		}
		zero.doing = TAKING;
		break;
	case KWB_ACK:
		zero.doing = STATUS;
		CLEAR(UEINTX, _BV(TXINI));
		break;
	default:
		stall();
	}
}

static void send(void)
{
	uint8_t n = zero.left < MOST ? (uint8_t)zero.left : MOST;

	if (zero.left == 0 && !(zero.full && zero.shorter))
		return; /* all is sent */
	if (UEINTX & _BV(RXSTPI))
		return; /* and nobody wants it any more */
	zero.full = n == MOST;
	zero.left -= n;
	for (; n > 0; n--, zero.data++)
		UEDATX = zero.rom ? pgm_read_byte(zero.data) : *zero.data;
	CLEAR(UEINTX, _BV(TXINI));
}

static void take(void)
{
	uint8_t data[MOST];
	const uint8_t n = UEBCLX;

	for (uint8_t i = 0; i < n && i < MOST; i++)
		data[i] = UEDATX;
	CLEAR(UEINTX, _BV(RXOUTI));
	if (!kwb_out(data, n)) {
		stall();
		return;
	}
	zero.doing = STATUS;
	CLEAR(UEINTX, _BV(TXINI));
}

/* The status stage is through. */
static void done(void)
{
	const uint8_t address = kwb_done();

	zero.doing = IDLE;
	if (address != 0x80) {
		UDADDR = address;
		UDADDR |= _BV(ADDEN);
	}
}

static void control(void)
{
	UENUM = 0;
	if (UEINTX & _BV(RXSTPI))
		setup();
	switch (zero.doing) {
	case SENDING:
		if (UEINTX & _BV(RXOUTI)) { /* the host has what it wants */
			CLEAR(UEINTX, _BV(RXOUTI));
			zero.doing = IDLE;
		} else if (UEINTX & _BV(TXINI)) {
			send();
		}
		break;
	case TAKING:
		if (UEINTX & _BV(RXOUTI))
			take();
		break;
	case STATUS: /* a setup packet that comes instead frees the bank too */
		if ((UEINTX & (_BV(TXINI) | _BV(RXSTPI))) == _BV(TXINI))
			done();
		break;
	}
}

void usb_poll(void)
{
	const uint8_t events = UDINT;

	if (events & _BV(EORSTI)) {
		CLEAR(UDINT, _BV(EORSTI) | _BV(SUSPI) | _BV(WAKEUPI));
		asleep = false;
		UDADDR = 0;
		zero.doing = IDLE;
		kwb_bus_reset();
		endpoint(0, 0, false, MOST);
		configure();
	}
	if (events & _BV(SUSPI)) {
		CLEAR(UDINT, _BV(SUSPI) | _BV(WAKEUPI)); /* moves from before the silence do not count */
		asleep = true;
	} else if (events & (_BV(WAKEUPI) | _BV(EORSMI))) {
		CLEAR(UDINT, _BV(WAKEUPI) | _BV(EORSMI));
		asleep = false;
	}
	if (events & _BV(SOFI)) {
		const uint8_t now = UDFNUML;

		CLEAR(UDINT, _BV(SOFI));
		asleep = false;
		for (; frame != now; frame++)
			kwb_ms();
	}
	control();
}

static void give(uint8_t number)
{
	uint8_t data[MOST + 1];
	uint8_t n;

	UENUM = number;
	if (!(UEINTX & _BV(TXINI)))
		return; /* the last one still waits for the host */
	n = kwb_in(number, data);
	if (n == 0)
		return;
	CLEAR(UEINTX, _BV(TXINI));
	for (uint8_t i = 0; i < n; i++)
		UEDATX = data[i];
	CLEAR(UEINTX, _BV(FIFOCON));
}

static void get(uint8_t number)
{
	uint8_t data[MOST];
	uint8_t n;

	UENUM = number;
	if (!(UEINTX & _BV(RXOUTI)))
		return;
	CLEAR(UEINTX, _BV(RXOUTI));
	n = UEBCLX;
	for (uint8_t i = 0; i < n && i < MOST; i++)
		data[i] = UEDATX;
	CLEAR(UEINTX, _BV(FIFOCON));
	kwb_from_host(number, data, n);
}

void usb_reports(void)
{
	for (uint8_t i = 0; i < KWB_MAX_ENDPOINTS && endpoints[i].number != 0; i++)
		if (endpoints[i].in)
			give(endpoints[i].number);
		else
			get(endpoints[i].number);
}

bool usb_quiet(void) { return zero.doing == IDLE; }

bool usb_asleep(void) { return asleep; }

/* The interrupt must be let on before the clock stops: without it the controller's registers take nothing. */
void usb_freeze(void)
{
	UDIEN = _BV(WAKEUPE);
	USBCON |= _BV(FRZCLK);
	PLLCSR = 0;
}

/* The interrupt may have done it already. */
void usb_thaw(void)
{
	if (USBCON & _BV(FRZCLK)) {
		clock_on();
		USBCON &= (uint8_t)~_BV(FRZCLK);
	}
	UDIEN = 0;
	asleep = false;
}

/* With its clock off the controller still sees that the bus moves. */
bool usb_stirred(void) { return (UDINT & _BV(WAKEUPI)) != 0; }

/* Only ever this one. */
ISR(USB_GEN_vect) { usb_thaw(); }

/* The chip signals for as long as it must, and then takes the bit back by itself. */
void usb_wake_host(void)
{
	CLEAR(UDINT, _BV(WAKEUPI));
	UDCON |= _BV(RMWKUP);
}
