#include "run.h"

#include "chip.h"
#include "kwb.h"

#include "../core/kw_inner.h"

#include "memory.h"

/*
 * The USB device. Source: RP2040 data sheet, 4.1. Everything is done from the main loop; the interrupt only ends the sleep, and takes
 * what endpoint 0 still holds away from a setup packet that overtakes it.
 *
 * Rules of the buffer controls: all of a new value is written without AVAILABLE, and AVAILABLE after more than a cycle of 48 MHz; what
 * is AVAILABLE belongs to the controller. A stall of endpoint 0 must be armed as well.
 */
enum {
	FULL = 1 << 15,
	DATA1 = 1 << 13,
	STALL = 1 << 11,
	AVAILABLE = 1 << 10,
	LENGTH = 0x3FF,
};

enum {
	INT_BUFFERS = 1 << 4,
	INT_RESET = 1 << 12,
	INT_SUSPEND = 1 << 14,
	INT_RESUME = 1 << 15,
	INT_SETUP = 1 << 16,
};

enum { STATUS_SUSPENDED = 1 << 4, STATUS_RESUME = 1 << 11, STATUS_SETUP = 1 << 17, STATUS_RESET = 1 << 19 };
enum { SIE_RESUME = 1 << 12, SIE_PULLUP = 1 << 16, SIE_EP0_INT = 1 << 29 };

#define CONTROL(n, in) REG(USB_RAM + 8u * (n) + ((in) ? 0u : 4u))       /* of endpoints 1 and up */
#define BUFFER(n, in) REG(USB_RAM + 0x80u + 8u * (n) + ((in) ? 0u : 4u)) /* buffer control */
#define PLACE0 0x100u
#define PLACE(n, in) (0x180u + 128u * ((n) - 1u) + ((in) ? 0u : 64u))

enum { PACKET0 = 64, NO_SOF_MS = 100, OFF_MS = 20, BEFORE_WAKING_MS = 5 };

volatile bool kw_usb_slept;

/* Endpoint 0. */
static struct {
	const uint8_t *data; /* still to be sent */
	uint16_t left;
	bool empty_last; /* an empty packet ends it */
	bool pid;
	enum { IDLE, SENDING, TAKING, STATUS_IN } stage;
	uint8_t setup[8];
	uint8_t taken[KW_MAX_STATE + 1];
	uint16_t want, got;
} zero;

/* The others. */
static struct end {
	uint8_t size; /* 0: not there */
	bool busy, pid, halted;
	uint8_t left, at; /* of a report that is longer than a packet */
	uint16_t armed;   /* length of the packet that waits */
	uint8_t report[KW_MAX_STATE + 1];
} in[KWB_MAX_ENDPOINTS + 1], out[KWB_MAX_ENDPOINTS + 1];

static struct {
	uint16_t sof;     /* number of the last frame */
	uint8_t quiet;    /* ms without one */
	bool running;     /* frames have been seen since the last reset */
	uint8_t off;      /* ms until the bus is joined again */
	uint8_t asleep;   /* ms */
	bool woke;        /* the host has been called */
	uint8_t command;
} bus;

static void give(volatile uint32_t *control, uint32_t value)
{
	*control = value;
	/* two bytes and three cycles each: 12 cycles at least, of which a cycle of 48 MHz is 2.6 */
	__asm volatile("b 1f\n1: b 1f\n1: b 1f\n1: b 1f\n1: b 1f\n1: b 1f\n1:" ::: "memory");
	*control = value | AVAILABLE;
}

static void copy_in(uint32_t place, const uint8_t *from, uint16_t n)
{
	volatile uint8_t *to = (volatile uint8_t *)(uintptr_t)(USB_RAM + place);

	while (n-- > 0)
		*to++ = *from++;
}

static void copy_out(uint8_t *to, uint32_t place, uint16_t n)
{
	const volatile uint8_t *from = (const volatile uint8_t *)(uintptr_t)(USB_RAM + place);

	while (n-- > 0)
		*to++ = *from++;
}

/* ---- endpoint 0 ---- */

static bool overtaken(void) { return (REG(USB_SIE_STATUS) & STATUS_SETUP) != 0; }

static void give0(bool to_host, uint32_t value)
{
	give(&BUFFER(0, to_host), value);
	if (overtaken()) /* it belongs to a request that is over */
		BUFFER(0, to_host) = 0;
}

static void stall0(void)
{
	zero.stage = IDLE;
	BUFFER(0, true) = STALL;
	BUFFER(0, false) = STALL;
	REG(USB_STALL_ARM) = 3;
	if (overtaken()) {
		REG(USB_STALL_ARM) = 0;
		BUFFER(0, true) = 0;
		BUFFER(0, false) = 0;
	}
}

/* The next packet to the host. */
static void send0(void)
{
	const uint16_t n = zero.left < PACKET0 ? zero.left : PACKET0;

	copy_in(PLACE0, zero.data, n);
	zero.data += n;
	zero.left = (uint16_t)(zero.left - n);
	if (n < PACKET0)
		zero.empty_last = false;
	give0(true, FULL | (zero.pid ? DATA1 : 0) | n);
	zero.pid = !zero.pid;
}

static void receive0(void)
{
	give0(false, (zero.pid ? DATA1 : 0) | PACKET0);
	zero.pid = !zero.pid;
}

static void status_in(void)
{
	zero.stage = STATUS_IN;
	give0(true, FULL | DATA1);
}

static void arm_out(uint8_t n)
{
	give(&BUFFER(n, false), (out[n].pid ? DATA1 : 0) | out[n].size);
	out[n].busy = true;
}

/* Takes a buffer back from the controller. The chip's first revisions never say that it is done, so waiting ends. */
static void take_back(uint8_t n, bool to_host)
{
	const uint32_t bit = 1u << (2 * n + (to_host ? 0 : 1));

	if (BUFFER(n, to_host) & AVAILABLE) {
		SET(USB_ABORT) = bit;
		for (uint8_t i = 0; i < 100 && !(REG(USB_ABORT_DONE) & bit); i++)
			;
		BUFFER(n, to_host) = 0;
		CLEAR(USB_ABORT_DONE) = bit;
		CLEAR(USB_ABORT) = bit;
	}
}

/* The toggle begins anew; a packet that waits goes on waiting. */
static void rewind_end(uint8_t n, bool to_host)
{
	struct end *e = to_host ? &in[n] : &out[n];

	if (n > KWB_MAX_ENDPOINTS || e->size == 0)
		return;
	take_back(n, to_host);
	e->pid = false;
	e->halted = kwb_halted((uint8_t)(n | (to_host ? 0x80 : 0)));
	if (e->halted) {
		BUFFER(n, to_host) = STALL;
		return;
	}
	BUFFER(n, to_host) = 0;
	if (!to_host)
		arm_out(n);
	else if (e->busy)
		give(&BUFFER(n, true), FULL | e->armed);
}

static void close_ends(void)
{
	for (uint8_t n = 1; n <= KWB_MAX_ENDPOINTS; n++)
		for (uint8_t way = 0; way < 2; way++) {
			struct end *e = way ? &in[n] : &out[n];

			if (e->size != 0)
				take_back(n, way);
			e->size = e->left = 0;
			e->busy = e->pid = e->halted = false;
			CONTROL(n, way) = 0;
			BUFFER(n, way) = 0;
		}
	CLEAR(USB_BUFF_STATUS) = ~3u;
}

/* The endpoints of the table, as the host chooses the configuration. */
static void open_ends(void)
{
	const uint8_t *r;
	uint8_t stride, section;
	uint16_t record;
	uint8_t count = kwb_records(KWB_S_ENDPOINTS, &r, &stride);

	close_ends();
	if (!kwb_configured())
		return;
	if (count == 0 && kwb_state(&section, &record) != KW_OK) { /* the fallback has one, which never has anything to say */
		in[1].size = 16;
		CONTROL(1, true) = 1u << 31 | 1u << 29 | 3u << 26 | PLACE(1, true);
	}
	for (; count > 0; count--, r += stride) {
		const uint8_t n = r[0] & 0x0F;
		const bool way = (r[0] & 0x80) != 0;
		struct end *e = way ? &in[n] : &out[n];

		e->size = r[2];
		CONTROL(n, way) = 1u << 31 | 1u << 29 | (uint32_t)r[3] << 26 | PLACE(n, way);
		if (!way)
			arm_out(n);
	}
}

/* What requests mean for the endpoints' toggles. */
static void follow(const uint8_t *s)
{
	if (s[0] == 0x00 && s[1] == 9)
		open_ends();
	else if (s[0] == 0x02 && (s[1] == 1 || s[1] == 3) && (s[4] & 0x0F) != 0)
		rewind_end(s[4] & 0x0F, (s[4] & 0x80) != 0);
	else if (s[0] == 0x01 && s[1] == 11)
		for (uint8_t n = 1; n <= KWB_MAX_ENDPOINTS; n++) {
			const uint8_t *r;
			uint8_t stride;
			uint8_t count = kwb_records(KWB_S_ENDPOINTS, &r, &stride);

			for (; count > 0; count--, r += stride)
				if ((r[0] & 0x0F) == n && r[1] == s[4])
					rewind_end(n, (r[0] & 0x80) != 0);
		}
}

static void on_setup(void)
{
	struct kwb_reply reply;

	do { /* one that comes while this one is read is the one that counts */
		CLEAR(USB_SIE_STATUS) = STATUS_SETUP;
		BUFFER(0, true) = 0;
		BUFFER(0, false) = 0;
		copy_out(zero.setup, 0, 8);
	} while (overtaken());
	CLEAR(USB_BUFF_STATUS) = 3;
	zero.pid = true;
	zero.stage = IDLE;
	kwb_setup(zero.setup, &reply);
	switch (reply.kind) {
	case KWB_STALL:
		stall0();
		break;
	case KWB_ACK:
		follow(zero.setup);
		status_in();
		break;
	case KWB_TAKE:
		zero.stage = TAKING;
		zero.want = reply.length;
		zero.got = 0;
		receive0();
		break;
	default:
		zero.stage = SENDING;
		zero.data = reply.data;
		zero.left = reply.length;
		zero.empty_last = reply.shorter;
		send0();
		give0(false, DATA1 | PACKET0); /* the status; it may come early */
	}
}

static void on_sent0(void)
{
	if (zero.stage == SENDING) {
		if (zero.left > 0 || zero.empty_last)
			send0();
		return;
	}
	if (zero.stage == STATUS_IN) {
		const uint8_t address = kwb_done();

		zero.stage = IDLE;
		bus.command = kwb_command();
		if (address != 0x80)
			REG(USB_ADDRESS) = address;
	}
}

static void on_taken0(void)
{
	const uint16_t n = (uint16_t)(BUFFER(0, false) & LENGTH);

	if (zero.stage == SENDING) { /* the host has enough */
		BUFFER(0, true) = 0;
		CLEAR(USB_BUFF_STATUS) = 1;
		zero.stage = IDLE;
		return;
	}
	if (zero.stage != TAKING)
		return;
	if (n > zero.want - zero.got || n > PACKET0) {
		stall0();
		return;
	}
	copy_out(zero.taken + zero.got, PLACE0, n);
	zero.got = (uint16_t)(zero.got + n);
	if (zero.got < zero.want && n == PACKET0)
		receive0();
	else if (kwb_out(zero.taken, (uint8_t)zero.got))
		status_in();
	else
		stall0();
}

/* ---- the others ---- */

static void next_packet(uint8_t n)
{
	struct end *e = &in[n];

	if (e->left == 0) {
		e->left = kwb_in(n, e->report);
		e->at = 0;
	}
	if (e->left == 0)
		return;
	e->armed = e->left < e->size ? e->left : e->size;
	copy_in(PLACE(n, true), e->report + e->at, e->armed);
	e->at = (uint8_t)(e->at + e->armed);
	e->left = (uint8_t)(e->left - e->armed);
	e->busy = true;
	give(&BUFFER(n, true), FULL | (e->pid ? DATA1 : 0) | e->armed);
}

void kw_usb_fill(void)
{
	if (kw_usb_slept) /* what happens meanwhile wakes the host, and is sent when it is awake */
		return;
	for (uint8_t n = 1; n <= KWB_MAX_ENDPOINTS; n++)
		if (in[n].size != 0 && !in[n].busy && !in[n].halted)
			next_packet(n);
}

static void on_sent(uint8_t n)
{
	in[n].busy = false;
	in[n].pid = !in[n].pid;
}

static void on_taken(uint8_t n)
{
	const uint8_t length = (uint8_t)(BUFFER(n, false) & LENGTH);
	uint8_t data[64];

	if (out[n].size == 0 || out[n].halted)
		return;
	copy_out(data, PLACE(n, false), length);
	out[n].pid = !out[n].pid;
	kwb_from_host(n, data, length);
	arm_out(n);
}

/* ---- the bus ---- */

static void awake(void)
{
	kw_clock_full();
	kw_usb_slept = false;
	kwb_dark = false;
	bus.quiet = 0;
	bus.woke = false;
	CLEAR(USB_SIE_STATUS) = STATUS_SUSPENDED;
	SET(USB_INTE) = INT_SUSPEND;
}

/* The data sheet leaves open whether the controller says once that the bus sleeps, or as long as it does: so it is heard once. */
static void asleep(void)
{
	CLEAR(USB_INTE) = INT_SUSPEND;
	CLEAR(USB_SIE_STATUS) = STATUS_SUSPENDED;
	kw_usb_slept = true;
	kwb_dark = true;
	kwb_show(); /* before it is slow */
	kw_clock_low();
	bus.asleep = 0;
	bus.woke = false;
}

static void on_reset(void)
{
	CLEAR(USB_SIE_STATUS) = STATUS_RESET;
	REG(USB_ADDRESS) = 0;
	BUFFER(0, true) = 0;
	BUFFER(0, false) = 0;
	CLEAR(USB_BUFF_STATUS) = 3;
	zero.stage = IDLE;
	close_ends();
	kwb_bus_reset();
	bus.running = false;
	awake();
}

void kw_usb_begin(void)
{
	SET(RESETS_RESET) = RESET_USB;
	CLEAR(RESETS_RESET) = RESET_USB;
	while (!(REG(RESETS_DONE) & RESET_USB))
		;
	for (uint32_t at = 0; at < 4096; at += 4)
		REG(USB_RAM + at) = 0;
	memset(in, 0, sizeof in);
	memset(out, 0, sizeof out);
	zero.stage = IDLE;
	bus.running = false;
	bus.off = 0;
	REG(USB_MUXING) = 1 << 3 | 1 << 0;  /* the pins' own driver, connected by command */
	REG(USB_PWR) = 1 << 3 | 1 << 2;     /* the bus has power: nothing else feeds the module */
	REG(USB_MAIN_CTRL) = 1;             /* a device */
	REG(USB_SIE_CTRL) = SIE_EP0_INT;
	REG(USB_INTE) = INT_BUFFERS | INT_RESET | INT_RESUME | INT_SETUP;
	awake();
	REG(NVIC_ON) = 1u << IRQ_USB;
	SET(USB_SIE_CTRL) = SIE_PULLUP;
}

void kw_usb_end(void)
{
	CLEAR(USB_SIE_CTRL) = SIE_PULLUP;
	REG(NVIC_OFF) = 1u << IRQ_USB;
}

uint8_t kw_usb_command(void)
{
	const uint8_t c = bus.command;

	bus.command = KWB_NOTHING;
	return c;
}

bool kw_usb_waiting(void) { return (REG(USB_INTS) & (INT_BUFFERS | INT_RESET | INT_SUSPEND | INT_RESUME | INT_SETUP)) != 0; }

/* Masks itself: the main loop does the work and lets it in again. */
void kw_on_usb(void)
{
	if (overtaken()) {
		BUFFER(0, true) = 0;
		BUFFER(0, false) = 0;
	}
	REG(NVIC_OFF) = 1u << IRQ_USB;
}

void kw_usb_serve(void)
{
	const uint32_t what = REG(USB_INTS);

	if (what & INT_RESET)
		on_reset();
	if (what & INT_SUSPEND)
		asleep();
	if (what & INT_RESUME) {
		CLEAR(USB_SIE_STATUS) = STATUS_RESUME;
		awake();
	}
	/* Before a setup packet, what came before it: an address may be among it. */
	for (uint32_t done; (done = REG(USB_BUFF_STATUS)) != 0;) {
		const uint8_t k = (uint8_t)(__builtin_ctz(done));
		const uint8_t n = k / 2;

		CLEAR(USB_BUFF_STATUS) = 1u << k;
		if (n == 0)
			k & 1 ? on_taken0() : on_sent0();
		else if (n <= KWB_MAX_ENDPOINTS)
			k & 1 ? on_taken(n) : on_sent(n);
	}
	if (REG(USB_SIE_STATUS) & STATUS_SETUP)
		on_setup();
	kw_usb_fill();
	if (bus.off == 0)
		REG(NVIC_ON) = 1u << IRQ_USB;
}

/*
 * A sleeping bus may be woken after 5 ms (USB 2.0, 7.1.7.7), if the host has allowed it. A bus without frames that does not sleep is a
 * controller that hangs (erratum RP2040-E15): it is begun anew.
 */
void kw_usb_ms(void)
{
	const uint16_t sof = (uint16_t)(REG(USB_SOF) & 0x7FF);

	if (bus.off > 0) {
		if (--bus.off == 0)
			kw_usb_begin();
		return;
	}
	if (sof != bus.sof) {
		bus.sof = sof;
		bus.running = true;
		bus.quiet = 0;
		if (kw_usb_slept)
			awake();
	} else if (!kw_usb_slept && bus.running && ++bus.quiet >= NO_SOF_MS) {
		kw_usb_end();
		bus.off = OFF_MS;
		return;
	}
	if (!kw_usb_slept)
		return;
	if (bus.asleep < BEFORE_WAKING_MS) {
		bus.asleep++;
	} else if (!bus.woke && kwb_may_wake() && kw_waiting()) {
		bus.woke = true;
		kw_clock_full(); /* the controller wants 48 MHz and more to speak */
		SET(USB_SIE_CTRL) = SIE_RESUME;
	}
}
