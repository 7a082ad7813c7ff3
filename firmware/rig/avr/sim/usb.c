/* The USB controller, and the host's side of the bus. See rig.h. */
#include "rig.h"

#include <stdio.h>
#include <string.h>

/*
 * Written from the data sheet's chapters on USB, at the level of tokens: seven endpoints, their memory, banks, toggles, handshakes, the
 * address, flags that a written 0 clears, and interrupts that stand as long as their flag does. Whatever is allowed to the firmware but
 * wrong on the chip is a line of lint.
 */
enum {
	PLLCSR_ = 0x49, UHWCON_ = 0xD7, USBCON_ = 0xD8, UDCON_ = 0xE0, UDINT_, UDIEN_, UDADDR_, UDFNUML_, UDFNUMH_, UEINTX_ = 0xE8, UENUM_,
	UERST_, UECONX_, UECFG0X_, UECFG1X_, UESTA0X_, UEDATX_ = 0xF1, UEBCLX_,
};
enum { FIFOCON = 0x80, NAKINI = 0x40, RWAL = 0x20, NAKOUTI = 0x10, RXSTPI = 0x08, RXOUTI = 0x04, STALLEDI = 0x02, TXINI = 0x01 };
enum { STALLRQ = 0x20, STALLRQC = 0x10, RSTDT = 0x08, EPEN = 0x01 };
enum { UPRSMI = 0x40, EORSMI = 0x20, WAKEUPI = 0x10, EORSTI = 0x08, SOFI = 0x04, SUSPI = 0x01 };
enum { FRZCLK = 0x20, USBE = 0x80, OTGPADE = 0x10, DETACH = 0x01, RMWKUP = 0x02, ADDEN = 0x80 };
enum { EPS = 7, MEMORY = 832 };

static struct {
	bool enabled, stalled, alloc;
	uint8_t flags, cfg0, cfg1;
	uint8_t bank[256];
	int size, n, at; /* n: bytes in the bank; at: read so far */
	bool toggle;     /* of the next data packet */
} ep[EPS];
static uint8_t num, udint, udien, udaddr;
static uint64_t pll_at;

/* the host */
static int address;
static bool host_toggle_in[EPS], host_toggle_out[EPS];
static bool sof = true, suspended, woken;
static uint64_t sof_at, wake_at;
static uint8_t anew;          /* endpoints whose toggles begin anew with the status stage of the transfer under way */
static uint64_t setup_at;     /* the last setup packet came */
static bool addressing;       /* the transfer under way is SET_ADDRESS */
static uint64_t addressed_at; /* its status stage went through; 0: none is waited for */
static uint16_t frame;

static bool frozen(void) { return (avr->data[USBCON_] & FRZCLK) != 0 || !(avr->data[USBCON_] & USBE); }
static bool control_ep(int e) { return (ep[e].cfg0 & 0xC0) == 0; }
static bool is_in(int e) { return (ep[e].cfg0 & 1) != 0; }

static bool clock48(void)
{
	return (avr->data[PLLCSR_] & 0x02) && avr->cycle >= pll_at && ((avr->data[PLLCSR_] & 0x10) != 0) == (avr->frequency > 12000000);
}

bool usb_attached(void)
{
	return (avr->data[USBCON_] & USBE) && (avr->data[UHWCON_] & 1) && (avr->data[USBCON_] & OTGPADE) && !(avr->data[UDCON_] & DETACH);
}

static bool live(void) { return usb_attached() && !frozen() && clock48(); }

static void raise_flag(uint8_t flag) { udint |= flag; }

static void empty(int e)
{
	ep[e].n = ep[e].at = 0;
	if (control_ep(e))
		ep[e].flags = TXINI;
	else
		ep[e].flags = is_in(e) ? TXINI | FIFOCON | RWAL : 0;
}

static void disable(int e)
{
	ep[e].enabled = ep[e].stalled = false;
	ep[e].toggle = false;
	ep[e].n = ep[e].at = 0;
	ep[e].flags = 0;
}

static void clear_all(void)
{
	memset(ep, 0, sizeof ep);
	num = udint = udien = udaddr = 0;
}

/* All endpoint registers want the clock. */
static bool ready(const char *what)
{
	if (!frozen() && clock48())
		return true;
	rig_lint("%s is used while the controller's clock is stopped", what);
	return false;
}

static void write_flags(uint8_t v)
{
	const int e = num;
	const uint8_t cleared = ep[e].flags & (uint8_t)~v;

	if (control_ep(e)) {
		if (cleared & RXSTPI) {
			if (ep[e].at != 8)
				rig_lint("a setup packet is let go after %d bytes of it were read", ep[e].at);
			ep[e].n = ep[e].at = 0;
			ep[e].flags &= (uint8_t)~RXSTPI;
		}
		if (cleared & RXOUTI) {
			if (!(cleared & RXSTPI) && ep[e].at < ep[e].n)
				rig_lint("a packet from the host is let go after %d of %d bytes", ep[e].at, ep[e].n);
			ep[e].n = ep[e].at = 0;
			ep[e].flags &= (uint8_t)~RXOUTI;
		}
		if (cleared & TXINI) {
			if (!(ep[e].flags & RXSTPI))
				ep[e].flags &= (uint8_t)~TXINI; /* the bank, as far as it is filled, is the next packet */
			else if (avr->cycle > setup_at + rig_cycles(5)) /* nobody can look and send in the same moment */
				rig_lint("a packet is sent before the setup packet is let go");
		}
		ep[e].flags &= v | (FIFOCON | RWAL | RXSTPI | RXOUTI | TXINI);
		return;
	}
	ep[e].flags &= v | (FIFOCON | RWAL);
	if (cleared & FIFOCON) {
		ep[e].flags &= (uint8_t)~(FIFOCON | RWAL);
		if (is_in(e)) {
			if (ep[e].flags & TXINI)
				rig_lint("endpoint %d: FIFOCON is cleared before TXINI", e);
		} else {
			if (ep[e].flags & RXOUTI)
				rig_lint("endpoint %d: FIFOCON is cleared before RXOUTI", e);
			if (ep[e].at < ep[e].n)
				rig_lint("endpoint %d: let go after %d of %d bytes", e, ep[e].at, ep[e].n);
			ep[e].n = ep[e].at = 0;
		}
	}
}

static void write_config(uint8_t v)
{
	static const int sizes[] = {8, 16, 32, 64, 128, 256, 512, 512};
	int sum = 0;

	ep[num].cfg1 = v;
	ep[num].alloc = (v & 2) != 0;
	ep[num].size = sizes[v >> 4 & 7];
	if (!ep[num].alloc)
		return;
	if (!ep[num].enabled)
		rig_lint("endpoint %d gets memory before it is enabled", num);
	if (ep[num].size > (num == 1 ? 256 : 64) || (num != 1 && (v & 0x0C) > 0x04))
		rig_lint("endpoint %d cannot have %d bytes", num, ep[num].size);
	for (int e = num + 1; e < EPS; e++)
		if (ep[e].alloc)
			rig_lint("endpoint %d gets memory after endpoint %d: that slides", num, e);
	for (int e = 0; e < EPS; e++)
		if (ep[e].alloc)
			sum += ep[e].size * (ep[e].cfg1 & 0x0C ? 2 : 1);
	if (sum > MEMORY)
		rig_lint("%d bytes of endpoint memory; there are %d", sum, MEMORY);
	empty(num);
}

static void write_data(uint8_t v)
{
	const int e = num;

	if (!ep[e].enabled || !ep[e].alloc) {
		rig_lint("data for endpoint %d, which is not set up", e);
		return;
	}
	if (control_ep(e) ? !(ep[e].flags & TXINI) || (ep[e].flags & (RXSTPI | RXOUTI)) : !is_in(e) || !(ep[e].flags & FIFOCON)) {
		rig_lint("data for endpoint %d while its bank is in use", e);
		return;
	}
	if (!control_ep(e) && ep[e].flags & TXINI)
		rig_lint("endpoint %d: data before TXINI is cleared", e);
	if (ep[e].n >= ep[e].size) {
		rig_lint("endpoint %d: more data than its %d bytes", e, ep[e].size);
		return;
	}
	ep[e].bank[ep[e].n++] = v;
}

static uint8_t read_data(void)
{
	const int e = num;

	if (ep[e].at >= ep[e].n) {
		rig_lint("endpoint %d: read beyond its data", e);
		return 0;
	}
	return ep[e].bank[ep[e].at++];
}

static void write(avr_t *a, avr_io_addr_t r, uint8_t v, void *param)
{
	(void)param;
	switch (r) {
	case PLLCSR_:
		if (!frozen() && !(v & 2) && a->data[r] & 2)
			rig_lint("the PLL is stopped under the controller");
		if (v & 2 && !(a->data[r] & 2))
			pll_at = a->cycle + rig_cycles(100);
		if (v & 2 && ((v & 0x10) != 0) != (a->frequency > 12000000))
			rig_lint("the PLL is set for another crystal");
		a->data[r] = v & 0x12;
		return;
	case USBCON_:
		if (!(v & USBE))
			clear_all();
		if (v & USBE && !(v & FRZCLK) && !clock48())
			rig_lint("the controller's clock is let on before the PLL runs");
		a->data[r] = v;
		return;
	case UHWCON_:
		a->data[r] = v;
		return;
	case UDCON_:
		if (v & RMWKUP) {
			if (!ready("UDCON"))
				return;
			if (!suspended)
				rig_lint("remote wake-up while the bus is awake");
			else if (!woken)
				wake_at = a->cycle + rig_cycles(1000);
		}
		a->data[r] = v;
		return;
	case UDINT_:
		if (ready("UDINT"))
			udint &= v;
		return;
	case UDIEN_:
		if (ready("UDIEN"))
			udien = v;
		return;
	case UDADDR_:
		if (ready("UDADDR")) {
			if (v & ADDEN && (v & 0x7F) != (udaddr & 0x7F))
				rig_lint("the address and its enabling are written at once");
			if (v & ADDEN && v != ADDEN && addressed_at == 0)
				rig_lint("an address is taken before the status stage");
			if (v & ADDEN && addressed_at != 0 && a->cycle > addressed_at + rig_cycles(2000))
				rig_lint("an address is taken later than 2 ms after the status stage");
			if (v & ADDEN)
				addressed_at = 0;
			udaddr = v;
		}
		return;
	case UENUM_:
		if (v >= EPS)
			rig_lint("endpoint %d is selected", v);
		else
			num = v;
		return;
	case UEINTX_:
		if (ready("UEINTX"))
			write_flags(v);
		return;
	case UERST_:
		if (ready("UERST"))
			for (int e = 0; e < EPS; e++)
				if (v >> e & 1)
					empty(e);
		return;
	case UECONX_:
		if (!ready("UECONX"))
			return;
		if (!(v & EPEN)) {
			disable(num);
			return;
		}
		ep[num].enabled = true;
		if (v & STALLRQ)
			ep[num].stalled = true;
		if (v & STALLRQC)
			ep[num].stalled = false;
		if (v & RSTDT)
			ep[num].toggle = false;
		return;
	case UECFG0X_:
		if (!ready("UECFG0X"))
			return;
		if (!ep[num].enabled)
			rig_lint("endpoint %d is set up before it is enabled", num);
		ep[num].cfg0 = v;
		return;
	case UECFG1X_:
		if (ready("UECFG1X"))
			write_config(v);
		return;
	case UEDATX_:
		if (ready("UEDATX"))
			write_data(v);
		return;
	default:
		rig_lint("register 0x%02X is written", r);
	}
}

static uint8_t read(avr_t *a, avr_io_addr_t r, void *param)
{
	(void)param;
	switch (r) {
	case PLLCSR_:
		return (uint8_t)(a->data[r] | ((a->data[r] & 2) && a->cycle >= pll_at ? 1 : 0));
	case UDINT_:
		return udint;
	case UDIEN_:
		return udien;
	case UDADDR_:
		return udaddr;
	case UDFNUML_:
		return (uint8_t)frame;
	case UDFNUMH_:
		return (uint8_t)(frame >> 8);
	case UENUM_:
		return num;
	case UEINTX_:
		return ready("UEINTX") ? ep[num].flags : 0;
	case UECONX_:
		return (uint8_t)((ep[num].stalled ? STALLRQ : 0) | (ep[num].enabled ? EPEN : 0));
	case UECFG0X_:
		return ep[num].cfg0;
	case UECFG1X_:
		return ep[num].cfg1;
	case UESTA0X_:
		return (uint8_t)(ep[num].alloc ? 0x80 : 0);
	case UEDATX_:
		return ready("UEDATX") ? read_data() : 0;
	case UEBCLX_:
		return ready("UEBCLX") ? (uint8_t)(ep[num].n - ep[num].at) : 0;
	default:
		return a->data[r];
	}
}

void usb_hook(void)
{
	static const avr_io_addr_t registers[] = {
		PLLCSR_, UHWCON_, USBCON_, UDCON_, UDINT_, UDIEN_, UDADDR_, UDFNUML_, UDFNUMH_, UEINTX_, UENUM_, UERST_, UECONX_, UECFG0X_, UECFG1X_, UESTA0X_, UEDATX_, UEBCLX_,
	};

	for (size_t i = 0; i < sizeof registers / sizeof *registers; i++)
		rig_hook(registers[i], read, write);
}

void usb_chip_reset(void)
{
	clear_all();
	avr->data[UDCON_] = DETACH;
	avr->data[USBCON_] = FRZCLK;
	avr->data[PLLCSR_] = avr->data[UHWCON_] = 0;
	wake_at = 0;
}

static void tick_ms(void)
{
	frame = (uint16_t)((frame + 1) & 0x7FF);
	if (live() && sof && !suspended)
		raise_flag(SOFI);
}

void usb_passed(void)
{
	static avr_int_vector_t general = {.vector = 10};

	if (avr->cycle >= sof_at) {
		sof_at = avr->cycle - avr->cycle % (avr->frequency / 1000) + avr->frequency / 1000;
		tick_ms();
	}
	if (wake_at != 0 && avr->cycle >= wake_at) { /* the chip has signalled for long enough */
		wake_at = 0;
		woken = true;
		avr->data[UDCON_] &= (uint8_t)~RMWKUP;
		raise_flag(UPRSMI);
	}
	if ((udint & udien) && avr->sreg[S_I] && !general.pending) {
		general.enable = (avr_regbit_t){.reg = 0xD8, .bit = 7, .mask = 1}; /* on while the controller is */
		avr_raise_interrupt(avr, &general);
	}
}

/* ---- the host ---- */

static void pass(double us) { rig_run((uint64_t)us); }

static bool heard(void) { return live() && !suspended && (udaddr & ADDEN ? udaddr & 0x7F : 0) == address; }

enum answer usb_setup(const uint8_t s[8])
{
	if (!heard() || !ep[0].enabled || !ep[0].alloc) {
		pass(20);
		return TIMEOUT;
	}
	if (ep[0].flags & RXSTPI && ep[0].at > 0)
		rig_lint("a setup packet comes while the one before is being read");
	memcpy(ep[0].bank, s, 8);
	setup_at = avr->cycle;
	ep[0].n = 8;
	ep[0].at = 0;
	ep[0].flags = (uint8_t)((ep[0].flags & NAKINI) | RXSTPI | TXINI);
	ep[0].stalled = false;
	ep[0].toggle = true;
	host_toggle_in[0] = host_toggle_out[0] = true;
	addressing = s[0] == 0x00 && s[1] == 5;
	anew = s[0] == 0x00 && s[1] == 9 ? 0xFF : s[0] == 0x02 && s[1] == 1 ? (uint8_t)(1 << (s[4] & 7)) : 0;
	pass(12);
	return ACK;
}

/* A host that gives a request up needs longer for that than the chip for reading a setup packet, or for writing one of its own. */
void usb_give_up(void)
{
	static int times;

	pass(20 + times++ % 16 * 10); /* sooner and later, so that it meets the chip at all it does */
	while (ep[0].flags & RXSTPI ? ep[0].at > 0 : ep[0].flags & TXINI && ep[0].n > 0)
		pass(1);
}

enum answer usb_in(int e, uint8_t *data, int *n)
{
	enum answer a = NAK;

	*n = 0;
	if (!heard() || e < 0 || e >= EPS || !ep[e].enabled || !ep[e].alloc || (!control_ep(e) && !is_in(e))) {
		pass(20);
		return TIMEOUT;
	}
	if (ep[e].stalled && !(ep[e].flags & RXSTPI)) {
		ep[e].flags |= STALLEDI;
		a = STALL;
	} else if (control_ep(e) ? !(ep[e].flags & TXINI) : !(ep[e].flags & (TXINI | FIFOCON))) {
		const bool toggle = ep[e].toggle;

		*n = ep[e].n;
		if (control_ep(e) && *n == 0) /* a status stage */
			host_toggle_in[e] = toggle;
		memcpy(data, ep[e].bank, (size_t)*n);
		ep[e].toggle = !toggle;
		empty(e);
		if (toggle != host_toggle_in[e]) { /* the host takes it for one that it has */
			rig_lint("endpoint %d: a packet with the wrong toggle", e);
			*n = 0;
			a = NAK;
		} else {
			host_toggle_in[e] = !toggle;
			a = ACK;
			if (e == 0 && addressing)
				addressed_at = avr->cycle;
			for (int k = 1; e == 0 && k < EPS; k++)
				if (anew >> k & 1)
					host_toggle_in[k] = host_toggle_out[k] = false;
			if (e == 0)
				anew = 0;
		}
	} else {
		ep[e].flags |= NAKINI;
	}
	pass(5 + *n * 0.7);
	return a;
}

enum answer usb_out(int e, const uint8_t *data, int n)
{
	enum answer a = ACK;

	if (!heard() || e < 0 || e >= EPS || !ep[e].enabled || !ep[e].alloc || (!control_ep(e) && is_in(e))) {
		pass(20);
		return TIMEOUT;
	}
	if (ep[e].stalled && !(ep[e].flags & RXSTPI)) {
		ep[e].flags |= STALLEDI;
		a = STALL;
	} else if (ep[e].flags & (RXSTPI | RXOUTI) || (!control_ep(e) && ep[e].flags & FIFOCON)) {
		ep[e].flags |= NAKOUTI;
		a = NAK;
	} else {
		if (control_ep(e) && n == 0) { /* a status stage */
			ep[e].toggle = host_toggle_out[e] = true;
			if (!(ep[e].flags & TXINI))
				rig_lint("a packet is left over when the host ends its request");
		}
		if (ep[e].toggle != host_toggle_out[e]) {
			rig_lint("endpoint %d takes a packet of the host for one that it has", e);
		} else {
			memcpy(ep[e].bank, data, (size_t)n);
			ep[e].n = n;
			ep[e].at = 0;
			ep[e].flags |= control_ep(e) ? RXOUTI : RXOUTI | FIFOCON | RWAL;
			ep[e].toggle = !ep[e].toggle;
		}
		host_toggle_out[e] = !host_toggle_out[e];
	}
	pass(5 + n * 0.7);
	return a;
}

void usb_bus_reset(void)
{
	if (suspended || frozen())
		raise_flag(WAKEUPI);
	suspended = false;
	wake_at = 0;
	pass(10000);
	if (!usb_attached())
		return;
	if (!live()) {
		rig_lint("a bus reset is slept through");
		return;
	}
	for (int e = 0; e < EPS; e++) {
		disable(e);
		ep[e].alloc = false;
		host_toggle_in[e] = host_toggle_out[e] = false;
	}
	udaddr = 0;
	addressed_at = 0;
	addressing = false;
	address = 0;
	udint &= (uint8_t)~(SUSPI | SOFI);
	raise_flag(EORSTI);
	pass(2000);
}

void usb_address(int n) { address = n; }
void usb_sof(bool on) { sof = on; }

void usb_suspend(void)
{
	suspended = true;
	pass(3000);
	if (live())
		raise_flag(SUSPI);
	pass(3000);
}

void usb_resume(void)
{
	if (!suspended)
		return;
	raise_flag(WAKEUPI);
	pass(20000);
	suspended = false;
	if (live())
		raise_flag(EORSMI);
	else
		rig_lint("the host's resume is slept through");
	pass(1000);
}

bool usb_woken(void)
{
	const bool w = woken;

	woken = false;
	return w;
}
