#include "hal.h"
#include "kwb_inner.h"

#include "../core/kw_inner.h"

/*
 * I2C expanders of 16 lines (MCP23017 with IOCON.BANK = 0), on pins of choice, one byte a slice so that USB is never kept waiting. The
 * bus has its pull-ups outside; the chip only pulls down. A line that is an input has the expander's own pull-up and reads 0 while
 * its contact is closed. An expander that does not answer is told to the bench, its contacts count as open, and it is asked again.
 */
enum { IODIR = 0x00, GPPU = 0x0C, GPIO = 0x12, OLAT = 0x14 };

static struct {
	struct hal_pin data, clock;
	uint8_t base, address, first; /* raw bit, address, lamp of its first output */
	uint16_t inputs;
	uint16_t out; /* as last written */
	bool known;   /* has been set up */
} expander[KWB_MAX_EXPANDERS];
static uint8_t expanders;
static kwb_set missing;
static kwb_set seen; /* that have been read */

/* What is being sent to which expander. */
enum job { SET_WAYS, SET_PULLS, WRITE, READ };
static struct {
	uint8_t which, job, step;
	uint8_t got[2];
} now;

kwb_set kwb_missing(void) { return missing; }

static kwb_set bit(uint8_t i) { return (kwb_set)(1u << i); }

void kwb_bus_begin(void)
{
	const uint8_t *r;
	uint8_t stride;

	missing = seen = 0;
	now.which = now.job = now.step = 0;
	expanders = kwb_records(KWB_S_EXPANDERS, &r, &stride);
	for (uint8_t i = 0; i < expanders; i++, r += stride) {
		expander[i].base = KW_ROM8(r);
		expander[i].address = KW_ROM8(r + 1);
		hal_mode(KW_ROM8(r + 2), HAL_FLOAT);
		hal_mode(KW_ROM8(r + 3), HAL_FLOAT);
		expander[i].data = hal_resolve(KW_ROM8(r + 2));
		expander[i].clock = hal_resolve(KW_ROM8(r + 3));
		expander[i].inputs = kw_rom16(r + 4);
		expander[i].first = KW_ROM8(r + 6);
		expander[i].out = 0;
		expander[i].known = false;
	}
}

static void quarter(void) { hal_settle(1); }

/* Lets the clock go and waits for it, but not for ever: an expander may stretch it. */
static bool rise(struct hal_pin clock)
{
	hal_drive(clock, false);
	for (uint8_t n = 0; n < 50; n++) {
		quarter();
		if (hal_now(clock))
			return true;
	}
	return false;
}

static void begin(uint8_t i)
{
	hal_drive(expander[i].data, false);
	quarter();
	rise(expander[i].clock);
	hal_drive(expander[i].data, true);
	quarter();
	hal_drive(expander[i].clock, true);
}

static void end(uint8_t i)
{
	hal_drive(expander[i].data, true);
	quarter();
	rise(expander[i].clock);
	hal_drive(expander[i].data, false);
	quarter();
}

/* Sends a byte; true when it was acknowledged. */
static bool send(uint8_t i, uint8_t byte)
{
	const struct hal_pin data = expander[i].data, clock = expander[i].clock;
	bool taken;

	for (uint8_t n = 0; n < 8; n++, byte = (uint8_t)(byte << 1)) {
		hal_drive(data, (byte & 0x80) == 0);
		quarter();
		if (!rise(clock))
			return false;
		hal_drive(clock, true);
	}
	hal_drive(data, false);
	quarter();
	taken = rise(clock) && !hal_now(data);
	hal_drive(clock, true);
	return taken;
}

static uint8_t receive(uint8_t i, bool more)
{
	const struct hal_pin data = expander[i].data, clock = expander[i].clock;
	uint8_t byte = 0;

	hal_drive(data, false);
	for (uint8_t n = 0; n < 8; n++) {
		quarter();
		rise(clock);
		byte = (uint8_t)(byte << 1 | hal_now(data));
		hal_drive(clock, true);
	}
	hal_drive(data, more);
	quarter();
	rise(clock);
	hal_drive(clock, true);
	hal_drive(data, false);
	return byte;
}

/* What the outputs of an expander should be. */
static uint16_t wanted(uint8_t i)
{
	uint16_t out = 0;
	uint8_t l = expander[i].first;

	if (l == KW_NO || kwb_dark)
		return 0;
	for (uint16_t line = 1; line != 0; line = (uint16_t)(line << 1))
		if (!(expander[i].inputs & line) && kw_lamp(l++))
			out |= line;
	return out;
}

/* Lines that are not inputs leave their raw bits at 0. */
static void store(uint8_t i, uint16_t lines, uint8_t *raw)
{
	uint16_t closed = expander[i].inputs & (uint16_t)~lines;
	uint8_t *to = raw + (expander[i].base >> 3);
	uint8_t mask = kw_mask(expander[i].base & 7);

	for (uint8_t b = 16; b > 0; b--, closed >>= 1) {
		if (closed & 1)
			*to |= mask;
		else
			*to &= (uint8_t)~mask;
		mask = (uint8_t)(mask << 1);
		if (mask == 0) {
			mask = 1;
			to++;
		}
	}
}

static void next(void)
{
	const uint8_t i = now.which;

	now.step = 0;
	if (!expander[i].known || now.job == READ) { /* this one is done for now */
		if (++now.which >= expanders)
			now.which = 0;
		now.job = expander[now.which].known ? (uint8_t)(wanted(now.which) != expander[now.which].out ? WRITE : READ) : (uint8_t)SET_WAYS;
		return;
	}
	now.job = READ;
}

static void absent(uint8_t *raw)
{
	const uint8_t i = now.which;

	end(i);
	missing |= bit(i);
	expander[i].known = false;
	store(i, 0xFFFF, raw);
	next();
}

/* The two bytes that a job writes. */
static uint16_t payload(uint8_t i)
{
	switch (now.job) {
	case SET_WAYS:
	case SET_PULLS:
		return expander[i].inputs;
	default:
		return wanted(i);
	}
}

static uint8_t reg(void)
{
	static const uint8_t of[] = {IODIR, GPPU, OLAT, GPIO};

	return of[now.job];
}

void kwb_bus_slice(uint8_t *raw)
{
	const uint8_t i = now.which;
	static uint16_t bytes;
	bool ok = true;

	if (expanders == 0)
		return;
	switch (now.step++) {
	case 0:
		begin(i);
		ok = send(i, (uint8_t)(expander[i].address << 1));
		break;
	case 1:
		ok = send(i, reg());
		bytes = payload(i);
		break;
	case 2:
		if (now.job == READ) {
			begin(i);
			ok = send(i, (uint8_t)(expander[i].address << 1 | 1));
		} else {
			ok = send(i, (uint8_t)bytes);
		}
		break;
	case 3:
		if (now.job == READ)
			now.got[0] = receive(i, true);
		else
			ok = send(i, (uint8_t)(bytes >> 8));
		break;
	default:
		if (now.job == READ)
			now.got[1] = receive(i, false);
		end(i);
		missing &= (kwb_set)~bit(i);
		if (now.job == READ)
			store(i, (uint16_t)(now.got[0] | now.got[1] << 8), raw);
		if (now.job == WRITE)
			expander[i].out = bytes;
		if (now.job == SET_WAYS) {
			now.job = SET_PULLS;
			now.step = 0;
			return;
		}
		if (now.job == SET_PULLS) {
			expander[i].known = true;
			expander[i].out = 0;
		}
		if (now.job == READ)
			seen |= bit(i);
		next();
		return;
	}
	if (!ok)
		absent(raw);
}

bool kwb_bus_seen(void) { return (seen | missing) == (kwb_set)((1ul << expanders) - 1); }
