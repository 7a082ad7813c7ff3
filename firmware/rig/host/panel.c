/*
 * The firmware on a PC with all that hangs on its pins, speaking the rig's line protocol (../README.md). The panel that the bench and
 * the tests use where no hardware is at hand. Time is counted in steps of 25 us.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "../../board/hal.h"
#include "../../board/kwb.h"
#include "nets.h"
#include "rig.h"

enum { STEP = 25, ENCODERS = 250 };

static uint8_t *table;
static uint16_t length;
static unsigned long now_us;
static bool sof = true, woken, loader, begun;
static unsigned since_encoders, since_tick, since_ms, rest;

bool hal_pin_ok(uint8_t pin) { return pin < PINS; }
bool hal_channel_ok(uint8_t c) { return c < 16; }
uint8_t hal_chip_id(void) { return KW_CHIP_HOST; }
void hal_settle(uint8_t us) { (void)us; }

void hal_mode(uint8_t pin, enum hal_mode m)
{
	static const enum drive of[] = {NONE, WEAK_HIGH, LOW, HIGH};

	nets_chip(pin, of[m]);
}

static uint8_t channel;
void hal_adc_start(uint8_t c) { channel = c; }
bool hal_adc_ready(void) { return true; }

uint16_t hal_adc(void)
{
	long v = nets_mv(channel) * 4095L / 3300;

	v = v < 0 ? 0 : v > 4095 ? 4095 : v;
	return (uint16_t)(v << 4 | v >> 8);
}

static int digit(char c) { return c >= '0' && c <= '9' ? c - '0' : c >= 'A' && c <= 'F' ? c - 'A' + 10 : c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1; }

static unsigned unhex(const char *s, uint8_t *out, unsigned room)
{
	unsigned n = 0;

	while (n < room && digit(s[0]) >= 0 && digit(s[1]) >= 0) {
		out[n++] = (uint8_t)(digit(s[0]) << 4 | digit(s[1]));
		s += 2;
	}
	return n;
}

static void start(void)
{
	since_encoders = since_tick = since_ms = 0;
	kwb_begin(table, length);
	kwb_bus_reset();
	kwb_resets = 0;
	bus_begin();
	begun = true;
}

static void command(void)
{
	switch (kwb_command()) {
	case KWB_TO_LOADER:
		loader = true;
		bus_gone(true);
		break;
	case KWB_RESTART:
		start();
		break;
	}
}

/* Whether a contact is not as it was. */
static bool moved(void)
{
	static uint8_t was[KW_MAX_RAW / 8];
	const bool any = memcmp(was, kwb_raw(), sizeof was) != 0;

	memcpy(was, kwb_raw(), sizeof was);
	return any;
}

static void step(void)
{
	now_us += STEP;
	if (loader || !begun)
		return;
	kwb_slice();
	if ((since_encoders += STEP) >= ENCODERS) {
		since_encoders = 0;
		kwb_encoders();
	}
	if ((since_tick += STEP) >= kw_tick_us() && kw_tick_us()) {
		since_tick = 0;
		kwb_look();
		kw_tick(kwb_raw());
		kwb_show();
		if (moved() && bus_asleep && kwb_may_wake())
			woken = true;
	}
	if (sof && !bus_asleep && (since_ms += STEP) >= 1000) {
		since_ms = 0;
		kwb_ms();
	}
	if (bus_quiet()) /* the host has its answer */
		command();
}

void rig_pass(unsigned us)
{
	for (rest += us; rest >= STEP; rest -= STEP)
		step();
}

static enum drive drive_of(const char *w) { return !strcmp(w, "low") ? LOW : !strcmp(w, "high") ? HIGH : NONE; }

/* A cold start with a table of just its own size: a sanitizer sees a step beyond. */
static bool load(const uint8_t *from, size_t n)
{
	free(table);
	table = malloc(n + (n == 0));
	if (!table || n > 0xFFFF)
		return false;
	memcpy(table, from, n);
	length = (uint16_t)n;
	now_us = rest = 0;
	loader = woken = false;
	start();
	return true;
}

static bool load_file(const char *path)
{
	static uint8_t all[65536];
	FILE *f = fopen(path, "rb");
	size_t n;

	if (!f)
		return false;
	n = fread(all, 1, sizeof all, f);
	fclose(f);
	return load(all, n);
}

static void sleep(bool on)
{
	rig_pass(3000);
	bus_sleep(on);
	kwb_dark = on;
	kwb_show();
	moved();
	woken = false;
	rig_pass(on ? 1000 : 20000);
}

static char line[70000];

int main(void)
{
	setvbuf(stdout, NULL, _IOLBF, 0);
	nets_clear();
	while (fgets(line, sizeof line, stdin)) {
		char *w[8] = {"", "", "", "", "", "", "", ""};
		int n = 0;
		bool ok = true;

		for (char *p = strtok(line, " \r\n"); p && n < 8; p = strtok(NULL, " \r\n"))
			w[n++] = p;
		if (n == 0)
			continue;
		if (!strcmp(w[0], "table") || !strcmp(w[0], "image"))
			ok = load_file(w[1]);
		else if (!strcmp(w[0], "load")) {
			static uint8_t all[sizeof line / 2];

			ok = load(all, unhex(w[1], all, sizeof all));
		} else if (!strcmp(w[0], "clear"))
			nets_clear();
		else if (!strcmp(w[0], "switch"))
			ok = nets_switch(w[1], nets_node(w[2]), nets_node(w[3]), !strcmp(w[4], "diode"));
		else if (!strcmp(w[0], "close") || !strcmp(w[0], "open"))
			ok = nets_close(w[1], w[0][0] == 'c');
		else if (!strcmp(w[0], "wire"))
			ok = nets_node(w[1]) >= 0 ? (nets_wire(nets_node(w[1]), drive_of(w[2])), true) : false;
		else if (!strcmp(w[0], "adc"))
			nets_adc(atoi(w[1]), atoi(w[2]));
		else if (!strcmp(w[0], "chain"))
			ok = nets_chain(w[1], nets_node(w[2]), nets_node(w[3]), nets_node(w[4]), atoi(w[5]));
		else if (!strcmp(w[0], "chainbit"))
			ok = nets_chainbit(w[1], atoi(w[2]), w[3][0] == '1');
		else if (!strcmp(w[0], "expander"))
			ok = nets_expander(w[1], nets_node(w[2]), nets_node(w[3]), atoi(w[4]));
		else if (!strcmp(w[0], "line"))
			ok = nets_line(w[1], atoi(w[2]), drive_of(w[3]));
		else if (!strcmp(w[0], "absent"))
			ok = nets_absent(w[1], w[2][0] == '1');
		else if (!strcmp(w[0], "lines")) {
			uint16_t l;

			if ((ok = nets_lines(w[1], &l)))
				printf("lines %04X\n", l);
		} else if (!strcmp(w[0], "mux")) {
			const int s[3] = {nets_node(w[3]), *w[4] ? nets_node(w[4]) : -1, *w[5] ? nets_node(w[5]) : -1};

			ok = nets_mux(w[1], atoi(w[2]), s);
		} else if (!strcmp(w[0], "muxline"))
			ok = nets_muxline(w[1], atoi(w[2]), atoi(w[3]));
		else if (!strcmp(w[0], "run"))
			rig_pass((unsigned)strtoul(w[1], NULL, 10));
		else if (!strcmp(w[0], "time"))
			printf("time %lu\n", now_us);
		else if (!strcmp(w[0], "level")) {
			const int node = nets_node(w[1]);

			if ((ok = node >= 0))
				printf("level %c\n", nets_show(node));
		} else if (!strcmp(w[0], "setup") || !strcmp(w[0], "setup2") || !strcmp(w[0], "token")) {
			uint8_t a[8], d[1024];
			const unsigned k = unhex(w[2], d, sizeof d);

			ok = unhex(w[1], a, 8) == 8 && (w[0][5] != '2' || k == 8);
			if (ok && w[0][0] == 't')
				bus_token(a);
			else if (ok && w[0][5])
				bus_twice(a, d);
			else if (ok)
				bus_transfer(a, d, k);
		} else if (!strcmp(w[0], "in"))
			bus_in((uint8_t)atoi(w[1]));
		else if (!strcmp(w[0], "out")) {
			uint8_t d[64];

			bus_out((uint8_t)atoi(w[1]), d, unhex(w[2], d, sizeof d));
		} else if (!strcmp(w[0], "reset")) {
			kwb_dark = false;
			bus_reset();
		} else if (!strcmp(w[0], "address"))
			bus_address((uint8_t)atoi(w[1]));
		else if (!strcmp(w[0], "sof"))
			sof = !strcmp(w[1], "on");
		else if (!strcmp(w[0], "suspend"))
			sleep(true);
		else if (!strcmp(w[0], "resume"))
			sleep(false);
		else if (!strcmp(w[0], "wakeup")) {
			printf("wakeup %d\n", woken);
			woken = false;
		} else if (!strcmp(w[0], "attached"))
			printf("attached %d\n", begun && !loader);
		else if (!strcmp(w[0], "loader"))
			printf("loader %d\n", loader);
		else if (!strcmp(w[0], "cycles"))
			puts("cycles 0 0 0"); /* a PC has no cycles to speak of */
		else if (!strcmp(w[0], "lint")) {
			printf("lint %u\n", (nets_floating > 0) + (nets_fights > 0));
			if (nets_floating)
				printf("%u readings of pins that nothing holds\n", nets_floating);
			if (nets_fights)
				printf("%u times a pin was driven both ways\n", nets_fights);
		} else
			ok = false;
		puts(ok ? "ok" : "error not understood or not possible");
	}
	return 0;
}
