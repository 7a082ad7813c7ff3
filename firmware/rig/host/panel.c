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

enum { STEP = 25, ENCODERS = 250 };

static uint8_t *table;
static uint16_t length;
static unsigned long now_us;
static uint8_t address;
static bool sof = true, suspended, woken, loader, begun;
static unsigned since_encoders, since_tick, since_ms;

bool hal_pin_ok(uint8_t pin) { return pin < 30; }
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

static void data(const uint8_t *b, unsigned n)
{
	printf("data ");
	for (unsigned i = 0; i < n; i++)
		printf("%02X", b[i]);
	putchar('\n');
}

static void command(void)
{
	switch (kwb_command()) {
	case KWB_TO_LOADER:
		loader = true;
		break;
	case KWB_RESTART:
		kwb_begin(table, length);
		kwb_bus_reset();
		address = 0;
		break;
	}
}

static bool held_something(void)
{
	for (unsigned i = 0; i < KW_MAX_RAW / 8; i++)
		if (kwb_raw()[i])
			return true;
	return false;
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
		if (suspended && kwb_may_wake() && held_something())
			woken = true;
	}
	if (sof && !suspended && (since_ms += STEP) >= 1000) {
		since_ms = 0;
		kwb_ms();
	}
	command();
}

static void pass(unsigned long us)
{
	for (unsigned long t = 0; t < us; t += STEP)
		step();
}

static void setup(const uint8_t s[8], const uint8_t *out, unsigned n)
{
	struct kwb_reply r;
	uint8_t a;

	kwb_setup(s, &r);
	pass(100);
	switch (r.kind) {
	case KWB_STALL:
		puts("stall");
		return;
	case KWB_RAM:
	case KWB_ROM:
		data(r.data, r.length);
		break;
	case KWB_TAKE:
		if (!kwb_out(out, (uint8_t)n)) {
			puts("stall");
			return;
		}
		puts("ack");
		break;
	default:
		puts("ack");
	}
	a = kwb_done();
	if (a != 0x80)
		address = a;
	command();
}

static enum drive drive_of(const char *w) { return !strcmp(w, "low") ? LOW : !strcmp(w, "high") ? HIGH : NONE; }

static bool load(const char *path)
{
	FILE *f = fopen(path, "rb");
	static uint8_t all[65536];
	size_t n;

	if (!f)
		return false;
	n = fread(all, 1, sizeof all - 1, f);
	fclose(f);
	free(table);
	table = malloc(n + (n == 0)); /* just as large as it is: a sanitizer sees a step beyond */
	if (!table)
		return false;
	memcpy(table, all, n);
	length = (uint16_t)n;
	now_us = since_encoders = since_tick = since_ms = 0;
	loader = woken = suspended = false;
	address = 0;
	kwb_begin(table, length);
	kwb_bus_reset();
	kwb_resets = 0;
	begun = true;
	return true;
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
			ok = load(w[1]);
		else if (!strcmp(w[0], "clear"))
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
			pass(strtoul(w[1], NULL, 10));
		else if (!strcmp(w[0], "time"))
			printf("time %lu\n", now_us);
		else if (!strcmp(w[0], "level")) {
			const int node = nets_node(w[1]);

			if ((ok = node >= 0))
				printf("level %c\n", nets_show(node));
		} else if (!strcmp(w[0], "setup") || !strcmp(w[0], "setup2")) {
			uint8_t s[8], out[256];
			struct kwb_reply r;
			unsigned k = unhex(w[2], out, sizeof out);

			ok = begun && !suspended && unhex(w[1], s, 8) == 8;
			if (ok && w[0][5]) {
				kwb_setup(s, &r);
				ok = k == 8;
				if (ok)
					setup(out, NULL, 0);
			} else if (ok) {
				setup(s, out, k);
			}
		} else if (!strcmp(w[0], "in")) {
			uint8_t out[KW_MAX_STATE + 1];
			const uint8_t k = loader || suspended ? 0 : kwb_in((uint8_t)atoi(w[1]), out);

			if (loader)
				puts("timeout");
			else if (kwb_configured() && kwb_halted((uint8_t)(0x80 | atoi(w[1]))))
				puts("stall");
			else if (k)
				data(out, k);
			else
				puts("nak");
		} else if (!strcmp(w[0], "out")) {
			uint8_t d[64];

			kwb_from_host((uint8_t)atoi(w[1]), d, (uint8_t)unhex(w[2], d, sizeof d));
			puts("ack");
		} else if (!strcmp(w[0], "reset")) {
			kwb_bus_reset();
			address = 0;
			suspended = false;
		} else if (!strcmp(w[0], "address"))
			ok = atoi(w[1]) == address;
		else if (!strcmp(w[0], "sof"))
			sof = !strcmp(w[1], "on");
		else if (!strcmp(w[0], "suspend")) {
			suspended = true;
			woken = false;
		} else if (!strcmp(w[0], "resume"))
			suspended = false;
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
