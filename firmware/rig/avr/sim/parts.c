/* Parts on the panel's nodes. See rig.h. */
#include "rig.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* 74HC165: while load is low the register is what its inputs are; a rising clock moves it on. */
static struct {
	char name[32];
	int load, clock, data, bits;
	bool input[256], held[256], clock_was;
	int at;
} chains[8];
static int chain_count;

void part_chain(const char *name, int load, int clock, int data, int bits)
{
	if (chain_count == 8 || bits > 256)
		exit(1);
	memset(&chains[chain_count], 0, sizeof chains[0]);
	snprintf(chains[chain_count].name, sizeof chains[0].name, "%s", name);
	chains[chain_count].load = load;
	chains[chain_count].clock = clock;
	chains[chain_count].data = data;
	chains[chain_count].bits = bits;
	chain_count++;
}

bool part_chainbit(const char *name, int k, bool on)
{
	for (int i = 0; i < chain_count; i++)
		if (!strcmp(chains[i].name, name) && k >= 0 && k < chains[i].bits) {
			chains[i].input[k] = on;
			return true;
		}
	return false;
}

static bool chain_look(int i)
{
	static enum level out[8];
	const bool clock = net_level(chains[i].clock) == HIGH;
	enum level now;

	if (net_level(chains[i].load) == LOW) {
		memcpy(chains[i].held, chains[i].input, sizeof chains[i].held);
		chains[i].at = 0;
	} else if (clock && !chains[i].clock_was) {
		chains[i].at++;
	}
	chains[i].clock_was = clock;
	now = chains[i].at < chains[i].bits && chains[i].held[chains[i].at] ? HIGH : LOW;
	net_part(chains[i].data, now);
	if (net_level(chains[i].data) == now && out[i] == now)
		return false;
	out[i] = now;
	return net_level(chains[i].data) != now;
}

/* MCP23017 on I2C: bits on rising clocks, its own ones after falling clocks; registers in one bank, the address moves on. */
enum { RECEIVING, ACKING, SENDING, HEARING };
static struct {
	char name[32];
	int data, clock, address;
	bool absent, sda, scl, busy, mine, first, pull; /* pull: it holds the data line low */
	int state, bits;
	uint8_t shift, reg, regs[22];
	enum level line[16];
} expanders[8];
static int expander_count;

void part_expander(const char *name, int data, int clock, int address)
{
	if (expander_count == 8)
		exit(1);
	memset(&expanders[expander_count], 0, sizeof expanders[0]);
	snprintf(expanders[expander_count].name, sizeof expanders[0].name, "%s", name);
	expanders[expander_count].data = data;
	expanders[expander_count].clock = clock;
	expanders[expander_count].address = address;
	expanders[expander_count].sda = expanders[expander_count].scl = true;
	expanders[expander_count].regs[0] = expanders[expander_count].regs[1] = 0xFF;
	for (int k = 0; k < 16; k++)
		expanders[expander_count].line[k] = FLOATS;
	net_pull_up(data);
	net_pull_up(clock);
	expander_count++;
}

static unsigned lines(int i)
{
	unsigned v = 0;

	for (int k = 0; k < 16; k++) {
		const uint8_t bank = (uint8_t)(k / 8), mask = (uint8_t)(1 << (k & 7));
		bool high;

		if (!(expanders[i].regs[bank] & mask)) /* an output */
			high = (expanders[i].regs[0x14 + bank] & mask) != 0;
		else if (expanders[i].line[k] != FLOATS)
			high = expanders[i].line[k] == HIGH;
		else
			high = (expanders[i].regs[0x0C + bank] & mask) != 0;
		v |= (unsigned)high << k;
	}
	return v;
}

static uint8_t get(int i)
{
	const uint8_t r = expanders[i].reg;
	uint8_t v = expanders[i].regs[r];

	if (r == 0x12 || r == 0x13)
		v = (uint8_t)(lines(i) >> (r == 0x12 ? 0 : 8)) ^ expanders[i].regs[2 + (r & 1)];
	expanders[i].reg = (uint8_t)((r + 1) % 22);
	return v;
}

static void put(int i, uint8_t v)
{
	const uint8_t r = expanders[i].reg;

	if (r == 0x12 || r == 0x13)
		expanders[i].regs[r + 2] = v;
	else
		expanders[i].regs[r] = v;
	expanders[i].reg = (uint8_t)((r + 1) % 22);
}

/* A byte has come. True where it is acknowledged. */
static bool byte_in(int i)
{
	const uint8_t v = expanders[i].shift;

	if (expanders[i].state != RECEIVING)
		return false;
	if (expanders[i].first) {
		expanders[i].first = false;
		expanders[i].mine = v >> 1 == expanders[i].address && !expanders[i].absent;
		if (!expanders[i].mine)
			return false;
		expanders[i].busy = (v & 1) != 0; /* reading */
		expanders[i].bits = -1;           /* for a write: the register's number comes first */
		return true;
	}
	if (!expanders[i].mine)
		return false;
	return true;
}

static bool expander_look(int i)
{
	const bool sda = net_level(expanders[i].data) != LOW, scl = net_level(expanders[i].clock) != LOW;
	const bool was = expanders[i].pull;
	static int count[8];     /* bits of the byte under way */
	static bool number[8];   /* the next byte is the register's number */
	static bool reading[8], acked[8];

	if (scl && expanders[i].scl && sda != expanders[i].sda) { /* start or stop */
		count[i] = 0;
		expanders[i].pull = false;
		expanders[i].first = !sda;
		expanders[i].mine = false;
		expanders[i].state = sda ? HEARING : RECEIVING;
	} else if (scl && !expanders[i].scl && expanders[i].state != HEARING) {
		if (count[i] < 8 && expanders[i].state == RECEIVING)
			expanders[i].shift = (uint8_t)(expanders[i].shift << 1 | sda);
		if (count[i] == 8 && expanders[i].state == SENDING)
			acked[i] = !sda;
		count[i]++;
	} else if (!scl && expanders[i].scl && expanders[i].state != HEARING) {
		if (expanders[i].state == RECEIVING && count[i] == 8) {
			const bool address = expanders[i].first;

			expanders[i].pull = byte_in(i);
			if (!expanders[i].pull)
				expanders[i].state = HEARING;
			else if (address) {
				reading[i] = expanders[i].busy;
				number[i] = !reading[i];
			} else if (number[i]) {
				expanders[i].reg = (uint8_t)(expanders[i].shift % 22);
				number[i] = false;
			} else {
				put(i, expanders[i].shift);
			}
		} else if (expanders[i].state == RECEIVING && count[i] == 9) {
			count[i] = 0;
			expanders[i].pull = false;
			if (reading[i] && expanders[i].mine) {
				expanders[i].state = SENDING;
				expanders[i].shift = get(i);
				expanders[i].pull = !(expanders[i].shift & 0x80);
			}
		} else if (expanders[i].state == SENDING) {
			if (count[i] < 8) {
				expanders[i].pull = !(expanders[i].shift >> (7 - count[i]) & 1);
			} else if (count[i] == 8) {
				expanders[i].pull = false; /* the chip acknowledges */
			} else {
				count[i] = 0;
				if (acked[i]) {
					expanders[i].shift = get(i);
					expanders[i].pull = !(expanders[i].shift & 0x80);
				} else {
					expanders[i].state = HEARING;
				}
			}
		}
	}
	expanders[i].sda = sda;
	expanders[i].scl = scl;
	return expanders[i].pull != was;
}

static int expander_of(const char *name)
{
	for (int i = 0; i < expander_count; i++)
		if (!strcmp(expanders[i].name, name))
			return i;
	return -1;
}

bool part_line(const char *name, int k, enum level l)
{
	const int i = expander_of(name);

	if (i < 0 || k < 0 || k > 15)
		return false;
	expanders[i].line[k] = l;
	return true;
}

bool part_lines(const char *name, unsigned *out)
{
	const int i = expander_of(name);

	if (i >= 0)
		*out = lines(i);
	return i >= 0;
}

bool part_absent(const char *name, bool absent)
{
	const int i = expander_of(name);

	if (i < 0)
		return false;
	expanders[i].absent = absent;
	if (absent) { /* it loses its supply, and with that its registers */
		memset(expanders[i].regs, 0, sizeof expanders[i].regs);
		expanders[i].regs[0] = expanders[i].regs[1] = 0xFF;
		expanders[i].state = HEARING;
		expanders[i].pull = false;
	}
	return true;
}

static struct {
	char name[32];
	int channel, select[3], mv[8];
} muxes[8];
static int mux_count;

void part_mux(const char *name, int channel, int s0, int s1, int s2)
{
	if (mux_count == 8)
		exit(1);
	memset(&muxes[mux_count], 0, sizeof muxes[0]);
	snprintf(muxes[mux_count].name, sizeof muxes[0].name, "%s", name);
	muxes[mux_count].channel = channel;
	muxes[mux_count].select[0] = s0;
	muxes[mux_count].select[1] = s1;
	muxes[mux_count].select[2] = s2;
	mux_count++;
}

bool part_muxline(const char *name, int k, int mv)
{
	for (int i = 0; i < mux_count; i++)
		if (!strcmp(muxes[i].name, name) && k >= 0 && k < 8) {
			muxes[i].mv[k] = mv;
			return true;
		}
	return false;
}

int part_mux_of(int channel, int *line)
{
	for (int i = 0; i < mux_count; i++)
		if (muxes[i].channel == channel) {
			*line = 0;
			for (int s = 0; s < 3; s++)
				*line |= (net_level(muxes[i].select[s]) == HIGH) << s;
			return i;
		}
	return -1;
}

int part_mux_mv(int mux, int line) { return muxes[mux].mv[line]; }

bool part_look(void)
{
	bool any = false;

	for (int i = 0; i < chain_count; i++)
		any |= chain_look(i);
	for (int i = 0; i < expander_count; i++)
		any |= expander_look(i);
	for (int i = 0; i < expander_count; i++) { /* several share the line */
		bool pull = false;

		for (int k = 0; k < expander_count; k++)
			pull |= expanders[k].data == expanders[i].data && expanders[k].pull;
		net_part(expanders[i].data, pull ? LOW : FLOATS);
	}
	return any;
}
