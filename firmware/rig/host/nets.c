#include "nets.h"

#include <stdlib.h>
#include <string.h>

unsigned nets_floating, nets_fights;

static enum drive chip[PINS], wire[NODES];
static unsigned generation = 1, shown_at[NODES]; /* what a node shows holds until something moves */
static char shown[NODES];
static int closed_at[NODES]; /* closed contacts of a node */

/* A snapshot takes in the pins that have been asked for before: those that the table reads. */
static bool asked[PINS], taken[PINS];
static char names[NODES][16];
static int nodes;

static struct {
	char name[24];
	int a, b;
	bool diode, closed;
} sw[600];
static int switches;

static struct {
	char name[16];
	int load, clock, data, bits;
	uint8_t in[128], held[128];
	int at;
	bool was_clock;
	enum drive out;
} chain[4];
static int chains;

static struct {
	char name[16];
	int data, clock, address;
	enum drive line[16];
	uint8_t reg[32];
	bool absent;
	/* the bus as this slave sees it */
	bool was_data, was_clock, on, mine, reading, told, acking;
	int bit;
	uint8_t shift, pointer;
	enum drive pull;
} expander[16];
static int expanders;

static struct {
	char name[16];
	int channel, select[3];
	int mv[8];
} mux[4];
static int muxes;
static int adc[32];

void nets_clear(void)
{
	memset(chip, 0, sizeof chip);
	memset(wire, 0, sizeof wire);
	memset(names, 0, sizeof names);
	memset(adc, 0, sizeof adc);
	memset(asked, 0, sizeof asked);
	memset(closed_at, 0, sizeof closed_at);
	switches = chains = expanders = muxes = 0;
	nodes = VCC + 1;
	nets_floating = nets_fights = 0;
	generation++;
}

int nets_node(const char *name)
{
	char *end;
	const long n = strtol(name, &end, 10);

	if (*name && !*end)
		return n >= 0 && n < PINS ? (int)n : -1;
	if (!strcmp(name, "gnd"))
		return GND;
	if (!strcmp(name, "vcc"))
		return VCC;
	for (int i = VCC + 1; i < nodes; i++)
		if (!strcmp(names[i], name))
			return i;
	if (nodes >= NODES || strlen(name) >= sizeof names[0])
		return -1;
	strcpy(names[nodes], name);
	return nodes++;
}

static bool strong(int n, enum drive d)
{
	if (n == GND)
		return d == LOW;
	if (n == VCC)
		return d == HIGH;
	if (wire[n] == d || (n < PINS && chip[n] == d))
		return true;
	for (int i = 0; i < chains; i++)
		if (chain[i].data == n && chain[i].out == d)
			return true;
	for (int i = 0; i < expanders; i++)
		if (expander[i].data == n && expander[i].pull == d)
			return true;
	return false;
}

static bool weak(int n) { return n < PINS && chip[n] == WEAK_HIGH; }

/* Whether a node is held low, high, or pulled up, over closed contacts; a diode lets current pass one way only. */
static bool held(int from, enum drive d, bool pulls)
{
	static bool seen[NODES];
	static int queue[NODES];
	int head = 0, tail = 0;

	if (closed_at[from] == 0)
		return pulls ? weak(from) : strong(from, d);
	memset(seen, 0, (size_t)nodes * sizeof *seen);

	queue[tail++] = from;
	seen[from] = true;
	while (head < tail) {
		const int x = queue[head++];

		if (pulls ? weak(x) : strong(x, d))
			return true;
		for (int i = 0; i < switches; i++) {
			int y = -1;

			if (!sw[i].closed)
				continue;
			if (d == LOW ? sw[i].a == x : sw[i].b == x) /* with the current */
				y = d == LOW ? sw[i].b : sw[i].a;
			else if (!sw[i].diode && (d == LOW ? sw[i].b == x : sw[i].a == x))
				y = d == LOW ? sw[i].a : sw[i].b;
			if (y >= 0 && !seen[y]) {
				seen[y] = true;
				queue[tail++] = y;
			}
		}
	}
	return false;
}

static char show(int n)
{
	const bool low = held(n, LOW, false), high = held(n, HIGH, false);

	if (low && high)
		nets_fights++;
	if (low)
		return '0';
	return high || held(n, HIGH, true) ? '1' : 'z';
}

char nets_show(int n)
{
	if (shown_at[n] != generation) {
		shown_at[n] = generation;
		shown[n] = show(n);
	}
	return shown[n];
}

bool nets_level(uint8_t pin)
{
	const char c = nets_show(pin);

	if (c == 'z')
		nets_floating++;
	return c == '1';
}

void nets_snapshot(void)
{
	for (uint8_t p = 0; p < PINS; p++)
		if (asked[p])
			taken[p] = nets_level(p);
}

bool nets_seen(uint8_t pin)
{
	if (!asked[pin]) { /* from now on it is in every snapshot */
		asked[pin] = true;
		taken[pin] = nets_level(pin);
	}
	return taken[pin];
}

/* What a node shows may be something else now, and over closed contacts what others show. */
static void moved(int n)
{
	if (closed_at[n] > 0)
		generation++;
	else
		shown_at[n] = 0;
}

static void out(int node, enum drive *at, enum drive d)
{
	if (*at == d)
		return;
	*at = d;
	moved(node);
}

static void chain_event(int i)
{
	const bool load = nets_show(chain[i].load) == '1', clock = nets_show(chain[i].clock) == '1';

	if (!load) {
		memcpy(chain[i].held, chain[i].in, sizeof chain[i].held);
		chain[i].at = 0;
	} else if (clock && !chain[i].was_clock) {
		chain[i].at++;
	}
	chain[i].was_clock = clock;
	out(chain[i].data, &chain[i].out, chain[i].at < chain[i].bits && chain[i].held[chain[i].at] ? HIGH : LOW);
}

static uint8_t expander_read(int i, uint8_t reg)
{
	if (reg == 0x12 || reg == 0x13) {
		uint8_t v = 0;

		for (int k = 0; k < 8; k++) {
			const int l = k + 8 * (reg - 0x12);
			const bool input = (expander[i].reg[reg - 0x12] >> k & 1) != 0;
			const bool up = (expander[i].reg[0x0C + reg - 0x12] >> k & 1) != 0;
			bool on = (expander[i].reg[0x14 + reg - 0x12] >> k & 1) != 0;

			if (input)
				on = expander[i].line[l] == HIGH || (expander[i].line[l] != LOW && up);
			v |= (uint8_t)(on << k);
		}
		return v;
	}
	return expander[i].reg[reg & 31];
}

static void expander_event(int i)
{
	const bool data = nets_show(expander[i].data) != '0', clock = nets_show(expander[i].clock) != '0';
	const int d = expander[i].data;

	if (expander[i].absent) {
		out(d, &expander[i].pull, NONE);
	} else if (clock && expander[i].was_clock && expander[i].was_data && !data) { /* start */
		expander[i].on = expander[i].mine = true;
		expander[i].told = expander[i].reading = expander[i].acking = false;
		expander[i].bit = 0;
		out(d, &expander[i].pull, NONE);
		expander[i].acking = false;
		expander[i].shift = 0;
		expander[i].told = false;
		expander[i].mine = false;
	} else if (clock && expander[i].was_clock && !expander[i].was_data && data) { /* stop */
		expander[i].on = false;
		out(d, &expander[i].pull, NONE);
	} else if (expander[i].on && clock && !expander[i].was_clock) { /* a bit is taken */
		if (expander[i].bit < 8 && !(expander[i].mine && expander[i].reading)) {
			expander[i].shift = (uint8_t)(expander[i].shift << 1 | data);
		} else if (expander[i].bit == 8 && expander[i].mine && expander[i].reading && data) {
			expander[i].on = false; /* the master wants no more */
		}
		expander[i].bit++;
	} else if (expander[i].on && !clock && expander[i].was_clock) { /* the next bit is laid on */
		if (expander[i].bit == 8) { /* the byte is whole: acknowledge */
			if (!expander[i].mine && !expander[i].told) {
				expander[i].told = true;
				expander[i].mine = expander[i].shift >> 1 == expander[i].address;
				expander[i].reading = (expander[i].shift & 1) != 0;
				expander[i].acking = expander[i].mine;
				out(d, &expander[i].pull, expander[i].mine ? LOW : NONE);
				expander[i].shift = 0;
				/* told: the address has been; the first byte of a writing is the register */
				if (expander[i].mine && !expander[i].reading)
					expander[i].pointer = 0xFF;
			} else if (expander[i].mine && !expander[i].reading) {
				if (expander[i].pointer == 0xFF)
					expander[i].pointer = expander[i].shift & 31;
				else {
					expander[i].reg[expander[i].pointer & 31] = expander[i].shift;
					expander[i].pointer = (uint8_t)((expander[i].pointer + 1) & 31);
				}
				expander[i].acking = true;
				out(d, &expander[i].pull, LOW);
				expander[i].shift = 0;
			} else {
				out(d, &expander[i].pull, NONE); /* the master acknowledges, or another is meant */
			}
		} else {
			if (expander[i].bit >= 9) {
				expander[i].bit = 0;
				if (expander[i].mine && expander[i].reading) {
					expander[i].shift = expander_read(i, expander[i].pointer);
					expander[i].pointer = (uint8_t)((expander[i].pointer + 1) & 31);
				}
			}
			if (expander[i].mine && expander[i].reading && expander[i].told) {
				out(d, &expander[i].pull, expander[i].shift & 0x80 ? NONE : LOW);
				expander[i].shift = (uint8_t)(expander[i].shift << 1);
			} else {
				out(d, &expander[i].pull, NONE);
			}
		}
	}
	expander[i].was_data = nets_show(d) != '0';
	expander[i].was_clock = clock;
}

static void event(void)
{
	generation++;
	for (int i = 0; i < chains; i++)
		chain_event(i);
	for (int i = 0; i < expanders; i++)
		expander_event(i);
}

/* A pin without a closed contact moves: only the parts on it see that. */
static void event_at(int pin)
{
	moved(pin);
	for (int i = 0; i < chains; i++)
		if (chain[i].load == pin || chain[i].clock == pin)
			chain_event(i);
	for (int i = 0; i < expanders; i++)
		if (expander[i].data == pin || expander[i].clock == pin)
			expander_event(i);
}

void nets_chip(uint8_t pin, enum drive d)
{
	if (pin >= PINS || chip[pin] == d)
		return;
	chip[pin] = d;
	if (closed_at[pin] > 0)
		event();
	else
		event_at(pin);
}

void nets_wire(int node, enum drive d)
{
	wire[node] = d;
	event();
}

bool nets_switch(const char *name, int a, int b, bool diode)
{
	if (a < 0 || b < 0 || switches >= (int)(sizeof sw / sizeof *sw) || strlen(name) >= sizeof sw[0].name)
		return false;
	strcpy(sw[switches].name, name);
	sw[switches].a = a;
	sw[switches].b = b;
	sw[switches].diode = diode;
	sw[switches].closed = false;
	switches++;
	return true;
}

bool nets_close(const char *name, bool closed)
{
	bool any = false;

	for (int i = 0; i < switches; i++)
		if (!strcmp(sw[i].name, name)) {
			if (sw[i].closed != closed) {
				closed_at[sw[i].a] += closed ? 1 : -1;
				closed_at[sw[i].b] += closed ? 1 : -1;
			}
			sw[i].closed = closed;
			any = true;
		}
	event();
	return any;
}

bool nets_chain(const char *name, int load, int clock, int data, int bits)
{
	if (chains >= 4 || load < 0 || clock < 0 || data < 0 || bits < 1 || bits > 128 || strlen(name) >= sizeof chain[0].name)
		return false;
	memset(&chain[chains], 0, sizeof chain[chains]);
	strcpy(chain[chains].name, name);
	chain[chains].load = load;
	chain[chains].clock = clock;
	chain[chains].data = data;
	chain[chains].bits = bits;
	memset(chain[chains].in, 1, sizeof chain[chains].in); /* pulled up */
	chains++;
	event();
	return true;
}

bool nets_chainbit(const char *name, int k, bool on)
{
	for (int i = 0; i < chains; i++)
		if (!strcmp(chain[i].name, name) && k >= 0 && k < chain[i].bits) {
			chain[i].in[k] = on;
			event();
			return true;
		}
	return false;
}

bool nets_expander(const char *name, int data, int clock, int address)
{
	if (expanders >= (int)(sizeof expander / sizeof *expander) || data < 0 || clock < 0 || strlen(name) >= sizeof expander[0].name)
		return false;
	memset(&expander[expanders], 0, sizeof expander[expanders]);
	strcpy(expander[expanders].name, name);
	expander[expanders].data = data;
	expander[expanders].clock = clock;
	expander[expanders].address = address;
	expander[expanders].reg[0] = expander[expanders].reg[1] = 0xFF;
	expander[expanders].was_data = expander[expanders].was_clock = true;
	expanders++;
	return true;
}

static int find_expander(const char *name)
{
	for (int i = 0; i < expanders; i++)
		if (!strcmp(expander[i].name, name))
			return i;
	return -1;
}

bool nets_line(const char *name, int k, enum drive d)
{
	const int i = find_expander(name);

	if (i < 0 || k < 0 || k > 15)
		return false;
	expander[i].line[k] = d;
	return true;
}

bool nets_absent(const char *name, bool absent)
{
	const int i = find_expander(name);

	if (i < 0)
		return false;
	expander[i].absent = absent;
	expander[i].on = false;
	if (absent) { /* a new one has forgotten all */
		memset(expander[i].reg, 0, sizeof expander[i].reg);
		expander[i].reg[0] = expander[i].reg[1] = 0xFF;
	}
	event();
	return true;
}

bool nets_lines(const char *name, uint16_t *levels)
{
	const int i = find_expander(name);

	if (i < 0)
		return false;
	*levels = (uint16_t)(expander_read(i, 0x12) | expander_read(i, 0x13) << 8);
	return true;
}

bool nets_mux(const char *name, int channel, const int select[3])
{
	if (muxes >= 4 || channel < 0 || channel >= 32 || strlen(name) >= sizeof mux[0].name)
		return false;
	memset(&mux[muxes], 0, sizeof mux[muxes]);
	strcpy(mux[muxes].name, name);
	mux[muxes].channel = channel;
	memcpy(mux[muxes].select, select, sizeof mux[muxes].select);
	muxes++;
	return true;
}

bool nets_muxline(const char *name, int k, int mv)
{
	for (int i = 0; i < muxes; i++)
		if (!strcmp(mux[i].name, name) && k >= 0 && k < 8) {
			mux[i].mv[k] = mv;
			return true;
		}
	return false;
}

void nets_adc(int channel, int mv)
{
	if (channel >= 0 && channel < 32)
		adc[channel] = mv;
}

int nets_mv(int channel)
{
	for (int i = 0; i < muxes; i++)
		if (mux[i].channel == channel) {
			int k = 0;

			for (int b = 0; b < 3; b++)
				k |= (mux[i].select[b] >= 0 && nets_show(mux[i].select[b]) == '1') << b;
			return mux[i].mv[k];
		}
	return channel >= 0 && channel < 32 ? adc[channel] : 0;
}
