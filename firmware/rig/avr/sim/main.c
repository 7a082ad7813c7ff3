/* The rig's line protocol: see ../../README.md. See rig.h. */
#include "rig.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { BOOT = 0x7000, FLASH = 0x8000, GPIOR0_ = 0x3E, LINT = 200 };

avr_t *avr;
static bool in_loader;
static char lint[LINT][96];
static int lints, lint_count;
static uint64_t tick_from, tick_sum, tick_worst, ticks;
static uint16_t least_sp;
static bool started;

void rig_lint(const char *format, ...)
{
	char line[96];
	va_list args;

	va_start(args, format);
	vsnprintf(line, sizeof line, format, args);
	va_end(args);
	lint_count++;
	for (int i = 0; i < lints; i++)
		if (!strcmp(lint[i], line))
			return;
	if (lints < LINT)
		strcpy(lint[lints++], line);
}

void rig_hook(avr_io_addr_t address, avr_io_read_t r, avr_io_write_t w)
{
	avr->io[AVR_DATA_TO_IO(address)].r.c = r;
	avr->io[AVR_DATA_TO_IO(address)].r.param = NULL;
	avr->io[AVR_DATA_TO_IO(address)].w.c = w;
	avr->io[AVR_DATA_TO_IO(address)].w.param = NULL;
}

/* The firmware says when a tick begins and ends. */
static void write_mark(avr_t *a, avr_io_addr_t address, uint8_t v, void *param)
{
	(void)param;
	a->data[address] = v;
	if (v) {
		tick_from = a->cycle;
	} else if (tick_from) {
		const uint64_t took = a->cycle - tick_from;

		tick_from = 0;
		tick_sum += took;
		ticks++;
		if (took > tick_worst)
			tick_worst = took;
	}
}

static void on_reset(struct avr_io_t *io)
{
	(void)io;
	usb_chip_reset();
	adc_reset();
	watchdog_reset();
	net_reset();
	tick_from = 0;
}

static void no_sleep(avr_t *a, avr_cycle_count_t n)
{
	(void)a;
	(void)n;
}

static void quiet(avr_t *a, const int level, const char *format, va_list args)
{
	(void)a;
	if (level > LOG_ERROR)
		return;
	vfprintf(stderr, format, args);
}

static void start(unsigned long hz)
{
	static avr_io_t module = {.kind = "rig", .reset = on_reset, .ioctl = watchdog_ioctl};

	avr_global_logger_set(quiet);
	avr = avr_make_mcu_by_name("atmega32u4");
	if (!avr) {
		fprintf(stderr, "this simavr has no atmega32u4\n");
		exit(1);
	}
	avr_init(avr);
	avr->frequency = (uint32_t)hz;
	avr->sleep = no_sleep;
	avr->codeend = FLASH - 1;
	avr->log = LOG_ERROR;
	avr->vcc = avr->avcc = avr->aref = 5000;
	usb_hook();
	adc_hook();
	watchdog_hook();
	net_hook();
	rig_hook(GPIOR0_, NULL, write_mark);
	avr_register_io(avr, &module);
}

void rig_run(uint64_t us)
{
	const uint64_t end = avr->cycle + us * (avr->frequency / 1000000);

	while (avr->cycle < end) {
		uint16_t sp;

		if (!started || in_loader) { /* time passes, and nobody is there */
			avr->cycle = end;
			return;
		}
		avr_run(avr);
		usb_passed();
		watchdog_passed();
		sp = (uint16_t)(avr->data[R_SPL] | avr->data[R_SPH] << 8);
		if (sp < least_sp && sp >= 0x100)
			least_sp = sp;
		if (avr->pc >= BOOT) {
			in_loader = true;
			if (avr->pc != 0x7000 && avr->pc != 0x7800 && avr->pc != 0x7C00 && avr->pc != 0x7E00)
				rig_lint("no boot loader begins at 0x%04X", (unsigned)avr->pc);
			if (watchdog_on())
				rig_lint("the boot loader is entered with the watchdog on");
			if (avr->data[0x54])
				rig_lint("the boot loader is entered with a cause of reset on record");
			if (usb_attached())
				rig_lint("the boot loader is entered with the pull-up on");
			if (avr->sreg[S_I])
				rig_lint("the boot loader is entered with interrupts on");
		}
		if (avr->state == cpu_Done || avr->state == cpu_Crashed) {
			rig_lint("the chip has stopped at 0x%04X", (unsigned)avr->pc);
			started = false;
		}
	}
}

static bool load(const char *path)
{
	ihex_chunk_p chunks = NULL;
	const int n = read_ihex_chunks(path, &chunks);
	bool loader = false;

	if (n <= 0)
		return false;
	memset(avr->flash, 0xFF, FLASH);
	for (int i = 0; i < n; i++) {
		if (chunks[i].baseaddr + chunks[i].size > FLASH)
			return false;
		memcpy(avr->flash + chunks[i].baseaddr, chunks[i].data, chunks[i].size);
		loader |= chunks[i].baseaddr + chunks[i].size > BOOT;
	}
	free_ihex_chunks(chunks);
	if (!loader) { /* something to find: a jump to itself */
		avr->flash[BOOT] = 0xFF;
		avr->flash[BOOT + 1] = 0xCF;
	}
	memset(avr->data + 0x100, 0xA5, 0xA00);
	in_loader = false;
	started = true;
	least_sp = avr->ramend;
	tick_sum = tick_worst = ticks = tick_from = 0;
	lints = lint_count = 0;
	watchdog_forget();
	avr->state = cpu_Running;
	avr_reset(avr);
	avr->data[0x54] = 1; /* power-on */
	return true;
}

/* ---- lines ---- */

static int digit(char c) { return c >= '0' && c <= '9' ? c - '0' : c >= 'A' && c <= 'F' ? c - 'A' + 10 : c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1; }

static int unhex(const char *s, uint8_t *out, int room)
{
	int n = 0;

	if (!s)
		return 0;
	while (n < room && digit(s[0]) >= 0 && digit(s[1]) >= 0) {
		out[n++] = (uint8_t)(digit(s[0]) << 4 | digit(s[1]));
		s += 2;
	}
	return n;
}

static void show(const uint8_t *d, int n)
{
	printf("data ");
	for (int i = 0; i < n; i++)
		printf("%02X", d[i]);
	putchar('\n');
}

static const char *const words[] = {"ack", "nak", "stall", "timeout"};

/* NAKs are tried again for 500 ms. */
static enum answer keep_in(uint8_t *data, int *n)
{
	for (int i = 0; i < 20000; i++) {
		const enum answer a = usb_in(0, data, n);

		if (a != NAK)
			return a;
		rig_run(20);
	}
	return TIMEOUT;
}

static enum answer keep_out(const uint8_t *data, int n)
{
	for (int i = 0; i < 20000; i++) {
		const enum answer a = usb_out(0, data, n);

		if (a != NAK)
			return a;
		rig_run(20);
	}
	return TIMEOUT;
}

static void transfer(const uint8_t s[8], const uint8_t *data, int have)
{
	const int length = s[6] | s[7] << 8;
	uint8_t got[65536 + 64];
	int n = 0, at = 0;
	enum answer a = usb_setup(s);

	if (a == ACK && s[0] & 0x80 && length > 0) {
		do {
			a = keep_in(got + at, &n);
			at += n;
		} while (a == ACK && n == 64 && at < length);
		if (a == ACK)
			a = keep_out(NULL, 0);
		if (a == ACK) {
			show(got, at);
			return;
		}
	} else if (a == ACK) {
		for (; a == ACK && at < have; at += n) {
			n = have - at < 64 ? have - at : 64;
			a = keep_out(data + at, n);
		}
		if (a == ACK) {
			a = keep_in(got, &n);
			if (a == ACK && n != 0)
				rig_lint("a status stage has %d bytes", n);
		}
	}
	puts(words[a]);
}

static const char *node_error;

static int node(const char *s)
{
	if (!s)
		node_error = "a node is missing";
	return s ? net_node(s) : GND;
}

static enum level level_of(const char *s)
{
	if (s && !strcmp(s, "low"))
		return LOW;
	if (s && !strcmp(s, "high"))
		return HIGH;
	if (!s || strcmp(s, "float"))
		node_error = "low, high or float";
	return FLOATS;
}

static int number(const char *s) { return s ? atoi(s) : 0; }

/* Does a line; NULL, or what is wrong with it. */
static const char *line(char *w[8])
{
	const char *const c = w[0];
	uint8_t d[4096], s[8];
	int n;

	node_error = NULL;
	if (!strcmp(c, "image"))
		return w[1] && load(w[1]) ? NULL : "that image cannot be read";
	if (!strcmp(c, "switch"))
		net_switch(w[1] ? w[1] : "", node(w[2]), node(w[3]), w[4] != NULL);
	else if (!strcmp(c, "close") || !strcmp(c, "open"))
		return w[1] && net_close(w[1], *c == 'c') ? NULL : "no contact of that name";
	else if (!strcmp(c, "wire")) {
		const int at = node(w[1]);

		net_wire(at, level_of(w[2]));
	} else if (!strcmp(c, "adc"))
		adc_set(number(w[1]), number(w[2]));
	else if (!strcmp(c, "chain"))
		part_chain(w[1] ? w[1] : "", node(w[2]), node(w[3]), node(w[4]), number(w[5]));
	else if (!strcmp(c, "chainbit"))
		return w[1] && part_chainbit(w[1], number(w[2]), number(w[3]) != 0) ? NULL : "no such chain or bit";
	else if (!strcmp(c, "expander"))
		part_expander(w[1] ? w[1] : "", node(w[2]), node(w[3]), number(w[4]));
	else if (!strcmp(c, "line"))
		return w[1] && part_line(w[1], number(w[2]), level_of(w[3])) ? node_error : "no such expander or line";
	else if (!strcmp(c, "lines")) {
		unsigned v;

		if (!w[1] || !part_lines(w[1], &v))
			return "no such expander";
		printf("lines %04X\n", v);
	} else if (!strcmp(c, "absent"))
		return w[1] && part_absent(w[1], number(w[2]) != 0) ? NULL : "no such expander";
	else if (!strcmp(c, "mux"))
		part_mux(w[1] ? w[1] : "", number(w[2]), node(w[3]), w[4] ? node(w[4]) : GND, w[5] ? node(w[5]) : GND);
	else if (!strcmp(c, "muxline"))
		return w[1] && part_muxline(w[1], number(w[2]), number(w[3])) ? NULL : "no such multiplexer or line";
	else if (!strcmp(c, "run"))
		rig_run((uint64_t)strtoull(w[1] ? w[1] : "0", NULL, 10));
	else if (!strcmp(c, "time"))
		printf("time %llu\n", (unsigned long long)(avr->cycle / (avr->frequency / 1000000)));
	else if (!strcmp(c, "level")) {
		const enum level l = net_level(node(w[1]));

		printf("level %s\n", l == FLOATS ? "z" : l == HIGH ? "1" : "0");
	} else if (!strcmp(c, "setup")) {
		if (unhex(w[1], s, 8) != 8)
			return "a setup packet has eight bytes";
		n = unhex(w[2], d, sizeof d);
		transfer(s, d, n);
	} else if (!strcmp(c, "setup2")) {
		if (unhex(w[1], s, 8) != 8 || unhex(w[2], d, 8) != 8)
			return "a setup packet has eight bytes";
		usb_setup(s);
		usb_give_up();
		transfer(d, NULL, 0);
	} else if (!strcmp(c, "token")) {
		if (unhex(w[1], s, 8) != 8)
			return "a setup packet has eight bytes";
		puts(words[usb_setup(s)]);
		usb_give_up();
	} else if (!strcmp(c, "in")) {
		const enum answer a = usb_in(number(w[1]), d, &n);

		if (a == ACK)
			show(d, n);
		else
			puts(words[a]);
	} else if (!strcmp(c, "out")) {
		n = unhex(w[2], d, 64);
		puts(words[usb_out(number(w[1]), d, n)]);
	} else if (!strcmp(c, "reset"))
		usb_bus_reset();
	else if (!strcmp(c, "address"))
		usb_address(number(w[1]));
	else if (!strcmp(c, "sof"))
		usb_sof(w[1] && !strcmp(w[1], "on"));
	else if (!strcmp(c, "suspend"))
		usb_suspend();
	else if (!strcmp(c, "resume"))
		usb_resume();
	else if (!strcmp(c, "wakeup"))
		printf("wakeup %d\n", usb_woken());
	else if (!strcmp(c, "attached"))
		printf("attached %d\n", usb_attached());
	else if (!strcmp(c, "loader"))
		printf("loader %d\n", in_loader);
	else if (!strcmp(c, "slow"))
		net_slow(number(w[1]));
	else if (!strcmp(c, "stuck")) { /* the chip does nothing for so long, as if it hung */
		const uint64_t end = avr->cycle + strtoull(w[1] ? w[1] : "0", NULL, 10) * (avr->frequency / 1000000);
		const int before = watchdog_restarts();

		for (; avr->cycle < end && watchdog_restarts() == before; avr->cycle++)
			watchdog_passed();
	} else if (!strcmp(c, "restarts"))
		printf("restarts %d\n", watchdog_restarts());
	else if (!strcmp(c, "cycles"))
		printf("cycles %llu %llu %d\n", (unsigned long long)(ticks ? tick_sum / ticks : 0), (unsigned long long)tick_worst, avr->ramend - least_sp);
	else if (!strcmp(c, "lint")) {
		printf("lint %d\n", lints);
		for (int i = 0; i < lints; i++)
			puts(lint[i]);
	} else
		return "no such command";
	return node_error;
}

int main(int argc, char **argv)
{
	static char text[16384];

	start(argc > 1 ? strtoul(argv[1], NULL, 10) : 16000000);
	while (fgets(text, sizeof text, stdin)) {
		char *w[8] = {0};
		const char *wrong;
		int n = 0;

		for (char *t = strtok(text, " \r\n"); t && n < 8; t = strtok(NULL, " \r\n"))
			w[n++] = t;
		if (n == 0)
			continue;
		wrong = line(w);
		if (wrong)
			printf("error %s\n", wrong);
		else
			puts("ok");
		fflush(stdout);
	}
	return 0;
}
