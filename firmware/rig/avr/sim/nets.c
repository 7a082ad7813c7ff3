/* Nodes of the panel. See rig.h. */
#include "rig.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/*
 * Levels are worked out from scratch whenever something changes: nodes that closed contacts connect are one; a strong level wins over a
 * pull-up; through a diode a low level goes against its direction, a high one with it. A node that only a pull-up raises takes its
 * time.
 */
enum { SWITCHES = 256, STRONG = 2, WEAK = 1 };
static double rise_inside = 1.5, rise_outside = 0.4; /* us: 35 kOhm, 4.7 kOhm, and some 40 pF */

static char names[NODES][32];
static int nodes;
static struct {
	char name[32];
	int a, b;
	bool diode, closed;
} switches[SWITCHES];
static int switch_count;
static enum level wire[NODES], part[NODES];
static bool pulled[NODES];
static enum level level[NODES];
static bool fell[NODES]; /* was low when it was last worked out */
static uint64_t risen[NODES];
static enum level last[NODES];
static int root[NODES];
static bool shorted;

static int find(int n)
{
	while (root[n] != n)
		n = root[n] = root[root[n]];
	return n;
}

static void first(void)
{
	if (nodes)
		return;
	for (int i = 0; i < 40; i++)
		snprintf(names[i], sizeof names[i], "%d", i);
	strcpy(names[GND], "gnd");
	strcpy(names[VCC], "vcc");
	nodes = VCC + 1;
	for (int i = 0; i < NODES; i++)
		wire[i] = part[i] = FLOATS;
}

int net_node(const char *name)
{
	first();
	for (int i = 0; i < nodes; i++)
		if (!strcmp(names[i], name))
			return i;
	if (nodes == NODES || strlen(name) >= sizeof names[0]) {
		fprintf(stderr, "too many nodes\n");
		exit(1);
	}
	strcpy(names[nodes], name);
	return nodes++;
}

void net_switch(const char *name, int a, int b, bool diode)
{
	if (switch_count == SWITCHES) {
		fprintf(stderr, "too many contacts\n");
		exit(1);
	}
	snprintf(switches[switch_count].name, sizeof switches[0].name, "%s", name);
	switches[switch_count].a = a;
	switches[switch_count].b = b;
	switches[switch_count].diode = diode;
	switches[switch_count].closed = false;
	switch_count++;
}

bool net_close(const char *name, bool closed)
{
	for (int i = 0; i < switch_count; i++)
		if (!strcmp(switches[i].name, name)) {
			switches[i].closed = closed;
			net_changed();
			return true;
		}
	return false;
}

void net_wire(int node, enum level l)
{
	wire[node] = l;
	net_changed();
}

void net_part(int node, enum level l) { part[node] = l; }
void net_pull_up(int node) { pulled[node] = true; }
enum level net_level(int node) { return level[node]; }

static uint8_t pin_register(int port, int which) { return avr->data[0x23 + 3 * port + which]; }

static void work_out(void)
{
	static int strength[NODES];
	static enum level to[NODES];
	bool again = true, clash = false;

	for (int i = 0; i < nodes; i++)
		root[i] = i;
	for (int i = 0; i < switch_count; i++)
		if (switches[i].closed && !switches[i].diode)
			root[find(switches[i].a)] = find(switches[i].b);
	for (int i = 0; i < nodes; i++) {
		strength[i] = 0;
		to[i] = FLOATS;
	}
	for (int i = 0; i < nodes; i++) {
		const int r = find(i);
		enum level l = i == GND ? LOW : i == VCC ? HIGH : FLOATS;
		bool weak = pulled[i];

		if (i < 40) {
			if (pin_register(i / 8, 1) >> (i & 7) & 1)
				l = pin_register(i / 8, 2) >> (i & 7) & 1 ? HIGH : LOW;
			else if (pin_register(i / 8, 2) >> (i & 7) & 1 && !(avr->data[0x55] & 0x10))
				weak = true;
		}
		for (int k = 0; k < 3; k++) {
			const enum level d = k == 0 ? l : k == 1 ? wire[i] : part[i];

			if (d == FLOATS)
				continue;
			if (strength[r] == STRONG && to[r] != d)
				clash = true;
			to[r] = strength[r] == STRONG && to[r] == LOW ? LOW : d;
			strength[r] = STRONG;
		}
		if (weak && strength[r] == 0) {
			to[r] = HIGH;
			strength[r] = WEAK;
		}
	}
	while (again) {
		again = false;
		for (int i = 0; i < switch_count; i++) {
			const int a = find(switches[i].a), b = find(switches[i].b);

			if (!switches[i].closed || !switches[i].diode || a == b)
				continue;
			if (strength[b] == STRONG && to[b] == LOW && strength[a] < STRONG) {
				to[a] = LOW;
				strength[a] = STRONG;
				again = true;
			} else if (to[a] == HIGH && strength[a] > strength[b]) {
				to[b] = HIGH;
				strength[b] = strength[a];
				again = true;
			} else if (to[a] == HIGH && to[b] == LOW && strength[a] == STRONG && strength[b] == STRONG) {
				clash = true;
			}
		}
	}
	if (clash && !shorted)
		rig_lint("two drivers against each other on a node");
	shorted = clash;
	for (int i = 0; i < nodes; i++) {
		const int r = find(i);

		if (to[r] == HIGH && strength[r] == WEAK && fell[i])
			risen[i] = avr->cycle + rig_cycles(pulled[i] ? rise_outside : rise_inside);
		else if (to[r] == HIGH && strength[r] == STRONG)
			risen[i] = 0;
		fell[i] = to[r] == LOW || (to[r] == FLOATS && fell[i]);
		level[i] = to[r];
	}
}

void net_changed(void)
{
	int turns = 0;

	first();
	do
		work_out();
	while (part_look() && ++turns < 20);
}

static uint8_t read_pins(avr_t *a, avr_io_addr_t address, void *param)
{
	const int port = (address - 0x23) / 3;
	uint8_t v = 0;

	(void)param;
	for (int bit = 0; bit < 8; bit++) {
		const int n = 8 * port + bit;

		if (level[n] != FLOATS) /* a floating pin stays as it was: no worse and no better than anything else */
			last[n] = level[n] == HIGH && a->cycle >= risen[n] ? HIGH : LOW;
		v |= (uint8_t)((last[n] == HIGH) << bit);
	}
	return v;
}

static void write_port(avr_t *a, avr_io_addr_t address, uint8_t v, void *param)
{
	(void)param;
	if (a->data[address] == v)
		return;
	a->data[address] = v;
	net_changed();
}

static void write_pins(avr_t *a, avr_io_addr_t address, uint8_t v, void *param)
{
	write_port(a, (avr_io_addr_t)(address + 2), a->data[address + 2] ^ v, param);
}

void net_hook(void)
{
	for (avr_io_addr_t port = 0; port < 5; port++) {
		const avr_io_addr_t pin = (avr_io_addr_t)(0x23 + 3 * port);

		rig_hook(pin, read_pins, write_pins);
		rig_hook((avr_io_addr_t)(pin + 1), NULL, write_port);
		rig_hook((avr_io_addr_t)(pin + 2), NULL, write_port);
	}
}

void net_slow(double us) { rise_inside = us; }

void net_reset(void)
{
	shorted = false;
	memset(risen, 0, sizeof risen);
	memset(fell, 0, sizeof fell);
	net_changed();
}
