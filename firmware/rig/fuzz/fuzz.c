/*
 * Tables that nobody has made with care, through the whole board layer: begin, some ticks, and requests, under sanitizers. An input is a
 * table and, behind it, requests of eight bytes. The table's length and checksum are put right, or nothing else would ever be tried.
 *
 * With clang this is a target for libFuzzer. With FUZZ_MAIN it has a loop of its own, guided by the edges that gcc marks
 * (-fsanitize-coverage=trace-pc): fuzz RUNS SEED CORPUS... writes what it fails on to fuzz.failed.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "../../board/hal.h"
#include "../../board/kwb.h"

enum { PINS = 30, CHANNELS = 4, MOST = 4096, REQUESTS = 24, TICKS = 6 };

static uint32_t state;

uint32_t noise(void)
{
	state ^= state << 13;
	state ^= state >> 17;
	state ^= state << 5;
	return state >> 7;
}

void touch(uint8_t pin)
{
	if (pin >= PINS)
		abort();
}

bool hal_pin_ok(uint8_t pin) { return pin < PINS; }
bool hal_channel_ok(uint8_t c) { return c < CHANNELS; }
uint8_t hal_chip_id(void) { return KW_CHIP_HOST; }
void hal_settle(uint8_t us) { (void)us; }
void hal_mode(uint8_t pin, enum hal_mode m)
{
	(void)m;
	touch(pin);
}
void hal_adc_start(uint8_t c)
{
	if (c >= CHANNELS)
		abort();
}
bool hal_adc_ready(void) { return noise() % 4 != 0; }
uint16_t hal_adc(void) { return (uint16_t)noise(); }

static uint32_t checksum(const uint8_t *b, size_t n)
{
	uint32_t crc = 0xFFFFFFFF;

	for (size_t i = 0; i < n; i++) {
		crc ^= b[i];
		for (int k = 0; k < 8; k++)
			crc = crc >> 1 ^ (crc & 1 ? 0xEDB88320 : 0);
	}
	return ~crc;
}

static void ask(const uint8_t s[8], const uint8_t *data, size_t n)
{
	struct kwb_reply r;
	uint8_t copy[256];
	volatile uint8_t sink = 0;

	kwb_setup(s, &r);
	for (uint16_t i = 0; i < r.length && (r.kind == KWB_RAM || r.kind == KWB_ROM); i++)
		sink = (uint8_t)(sink + r.data[i]);
	if (r.kind == KWB_TAKE) {
		n = n > r.length ? r.length : n;
		n = n > sizeof copy ? sizeof copy : n;
		memcpy(copy, data, n);
		kwb_out(copy, (uint8_t)n);
	}
	kwb_done();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	static const uint8_t configure[8] = {0, 9, 1};
	uint8_t *table;
	size_t length;

	if (size < 20)
		return 0;
	length = data[12] | (size_t)data[13] << 8;
	if (length > size || length < 20 || data[19] & 1) /* an odd byte there: the table's length is left wrong */
		length = size > MOST ? MOST : size;
	table = malloc(length);
	if (!table)
		return 0;
	memcpy(table, data, length);
	if (!(data[19] & 2)) {
		const uint32_t crc = (table[19] = 0, table[12] = (uint8_t)length, table[13] = (uint8_t)(length >> 8), checksum(table + 8, length - 8));

		memcpy(table, "KWT1", 4);
		for (int i = 0; i < 4; i++)
			table[4 + i] = (uint8_t)(crc >> (8 * i));
	}
	state = 0x9E3779B9u ^ (uint32_t)size;
	kwb_begin(table, (uint16_t)length);
	kwb_bus_reset();
	ask(configure, NULL, 0);
	for (int t = 0; t < TICKS; t++) {
		uint8_t out[KW_MAX_STATE + 1];

		kwb_encoders();
		kwb_look();
		kw_tick(kwb_raw());
		for (int i = 0; i < 12; i++)
			kwb_slice();
		kwb_show();
		kwb_ms();
		for (uint8_t n = 0; n <= KWB_MAX_ENDPOINTS + 1; n++) {
			kwb_in(n, out);
			kwb_in(n, out);
		}
	}
	for (size_t at = length, n = 0; at + 8 <= size && n < REQUESTS; at += 8, n++)
		ask(data + at, data, size > 64 ? 64 : size);
	for (uint8_t i = 0; i < 4; i++) { /* each report descriptor and string, whole */
		const uint8_t report[8] = {0x81, 6, 0, 0x22, i, 0, 0xFF, 0xFF}, string[8] = {0x80, 6, i, 3, 9, 4, 0xFF, 0xFF};

		ask(report, NULL, 0);
		ask(string, NULL, 0);
	}
	for (uint8_t n = 1; n <= KWB_MAX_ENDPOINTS; n++)
		kwb_from_host(n, data, (uint8_t)(size > 64 ? 64 : size));
	kwb_show();
	free(table);
	return 0;
}

#ifdef FUZZ_MAIN
enum { MAP = 1 << 16, KEPT = 20000 };

static uint8_t map[MAP];
static bool fresh;
static uintptr_t before;
static struct {
	uint8_t *data;
	size_t size;
} kept[KEPT];
static size_t count;
static uint64_t dice = 1;

void __sanitizer_cov_trace_pc(void);
__attribute__((no_sanitize_coverage, no_sanitize("address", "undefined"))) void __sanitizer_cov_trace_pc(void)
{
	const uintptr_t at = (uintptr_t)__builtin_return_address(0), edge = (at ^ before) & (MAP - 1);

	before = at >> 1;
	if (!map[edge]) {
		map[edge] = 1;
		fresh = true;
	}
}

static uint32_t roll(uint32_t n)
{
	dice ^= dice << 13;
	dice ^= dice >> 7;
	dice ^= dice << 17;
	return (uint32_t)(dice >> 20) % n;
}

static void keep(const uint8_t *data, size_t size)
{
	if (count >= KEPT)
		return;
	kept[count].data = malloc(size);
	if (!kept[count].data)
		return;
	memcpy(kept[count].data, data, size);
	kept[count++].size = size;
}

static const uint8_t *running;
static size_t running_size;

/* What it fails on is left behind before the sanitizer ends it. */
void __asan_on_error(void);
void __asan_on_error(void)
{
	FILE *f = fopen("fuzz.failed", "wb");

	if (f) {
		fwrite(running, 1, running_size, f);
		fclose(f);
	}
}

static void one(const uint8_t *data, size_t size)
{
	running = data;
	running_size = size;
	before = 0;
	LLVMFuzzerTestOneInput(data, size);
}

static size_t change(uint8_t *b, size_t size)
{
	for (uint32_t n = 1 + roll(4); n > 0; n--)
		switch (roll(8)) {
		case 0:
			b[roll((uint32_t)size)] ^= (uint8_t)(1 << roll(8));
			break;
		case 1:
			b[roll((uint32_t)size)] = (uint8_t)roll(256);
			break;
		case 2: { /* a field of the directory */
			const uint32_t entries = b[18] ? b[18] : 1;
			const size_t at = 20 + 6 * roll(entries) + roll(6);

			if (at < size)
				b[at] = roll(2) ? (uint8_t)roll(256) : (uint8_t)(b[at] + roll(5) - 2);
			break;
		}
		case 3:
			b[roll((uint32_t)size)] = (uint8_t[]){0, 1, 0x7F, 0x80, 0xFF, 8, 16, 64}[roll(8)];
			break;
		case 4:
			b[roll((uint32_t)size)] += (uint8_t)(roll(9) - 4);
			break;
		case 5: { /* a piece of another one */
			const size_t k = roll((uint32_t)count), len = 1 + roll(32);
			const size_t from = roll((uint32_t)kept[k].size), to = roll((uint32_t)size);

			for (size_t i = 0; i < len && from + i < kept[k].size && to + i < size; i++)
				b[to + i] = kept[k].data[from + i];
			break;
		}
		case 6:
			if (size < MOST)
				b[size++] = (uint8_t)roll(256);
			break;
		default:
			if (size > 40 && roll(4) == 0)
				size -= roll(20);
			else
				b[8 + roll(12)] ^= (uint8_t)(1 << roll(8));
		}
	return size;
}

int main(int argc, char **argv)
{
	static uint8_t b[MOST + 64];
	const unsigned long runs = argc > 1 ? strtoul(argv[1], NULL, 10) : 1000;
	size_t given;

	dice = argc > 2 ? strtoull(argv[2], NULL, 10) * 0x9E3779B97F4A7C15u + 1 : 1;
	for (int i = 3; i < argc; i++) {
		FILE *f = fopen(argv[i], "rb");
		size_t n;

		if (!f) {
			fprintf(stderr, "%s cannot be read\n", argv[i]);
			return 2;
		}
		n = fread(b, 1, MOST, f);
		fclose(f);
		if (n < 20)
			continue;
		one(b, n);
		keep(b, n);
	}
	if (count == 0) {
		fprintf(stderr, "there is nothing to begin with\n");
		return 2;
	}
	given = count;
	for (unsigned long r = 0; r < runs; r++) {
		const size_t k = roll((uint32_t)count);
		size_t n = kept[k].size;

		memcpy(b, kept[k].data, n);
		n = change(b, n);
		fresh = false;
		one(b, n);
		if (fresh)
			keep(b, n);
	}
	{
		size_t edges = 0;

		for (size_t i = 0; i < MAP; i++)
			edges += map[i];
		printf("%lu runs, %zu inputs given, %zu kept, %zu edges\n", runs, given, count, edges);
	}
	if (getenv("FUZZ_KEEP"))
		for (size_t i = given; i < count; i++) {
			char name[300];
			FILE *f;

			snprintf(name, sizeof name, "%s/%04zu", getenv("FUZZ_KEEP"), i);
			f = fopen(name, "wb");
			if (f) {
				fwrite(kept[i].data, 1, kept[i].size, f);
				fclose(f);
			}
		}
	return 0;
}
#endif
