/*
 * The core on a PC, driven by lines on its standard input; the answers go to its standard output. For tests.
 *
 *   table HEX      begin with this table and the contacts as they are      -> begin ERROR SECTION RECORD
 *   chip N         the chip that the next table is checked for
 *   raw BIT 0|1    a contact; counts from the next sample or tick on
 *   rate N         samples of the encoders in a tick, from now on (1 at the start)
 *   poll N         reports are taken after every Nth tick (1 at the start)
 *   tick N         N ticks                                                 -> TICK HEX for each report taken
 *   take           one report, without a tick                              -> 0 HEX
 *   sample         one sample of the encoders, without a tick
 *   read AXIS N    a reading of an axis
 *   give ID HEX    an output report                                        -> given 0|1
 *   now ID         an input report as it stands                            -> now HEX
 *   lamps          all lamps, the first one first                          -> lamps 0110
 *   held N         an input                                                -> held 0|1
 *   interface N    whose reports are meant from now on (0 at the start)
 *   boot           its keys as a boot report                               -> boot HEX
 *   midi           one packet of events                                    -> midi HEX
 *   anew           a host begins
 *   end            nothing                                                 -> end
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "kw.h"

static uint8_t table[8192], raw[KW_MAX_RAW / 8];
static char line[40000];

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

static void hex(const uint8_t *b, unsigned n)
{
	for (unsigned i = 0; i < n; i++)
		printf("%02X", b[i]);
	putchar('\n');
}

int main(void)
{
	unsigned long now = 0, rate = 1, poll = 1, interface = 0;
	unsigned chip = KW_CHIP_HOST;

	while (fgets(line, sizeof line, stdin)) {
		char *arg = strchr(line, ' ');
		const long n = arg ? strtol(arg, &arg, 0) : 0;
		uint8_t out[KW_MAX_STATE + 1];

		if (!strncmp(line, "table ", 6)) {
			uint8_t section;
			uint16_t record;
			/* exactly as many bytes as the table has, so that a sanitizer sees a step beyond them */
			const unsigned length = unhex(line + 6, table, sizeof table);
			static uint8_t *copy;
			enum kw_error e;

			free(copy);
			copy = malloc(length + (length == 0));
			if (!copy)
				return 1;
			memcpy(copy, table, length);
			now = 0;
			e = kw_begin(copy, (uint16_t)length, (uint8_t)chip, raw);
			kw_where(&section, &record);
			printf("begin %d %d %d\n", (int)e, section, record);
		} else if (!strncmp(line, "chip ", 5)) {
			chip = (unsigned)n;
		} else if (!strncmp(line, "raw ", 4)) {
			if (n >= 0 && n < KW_MAX_RAW) {
				const uint8_t mask = (uint8_t)(1u << (n & 7));

				raw[n >> 3] = (uint8_t)(strtol(arg, NULL, 0) ? raw[n >> 3] | mask : raw[n >> 3] & ~mask);
			}
		} else if (!strncmp(line, "rate ", 5)) {
			rate = (unsigned long)n;
		} else if (!strncmp(line, "poll ", 5)) {
			poll = n > 0 ? (unsigned long)n : 1;
		} else if (!strncmp(line, "tick ", 5)) {
			for (long i = 0; i < n; i++) {
				unsigned length;

				now++;
				for (unsigned long k = 0; k < rate; k++)
					kw_sample(raw);
				kw_tick(raw);
				while (now % poll == 0 && (length = kw_take((uint8_t)interface, out)) != 0) {
					printf("%lu ", now);
					hex(out, length);
				}
			}
		} else if (!strncmp(line, "take", 4)) {
			printf("0 ");
			hex(out, kw_take((uint8_t)interface, out));
		} else if (!strncmp(line, "sample", 6)) {
			kw_sample(raw);
		} else if (!strncmp(line, "read ", 5)) {
			kw_reading((uint8_t)n, (uint16_t)strtol(arg, NULL, 0));
		} else if (!strncmp(line, "give ", 5)) {
			uint8_t data[64];

			while (*arg == ' ')
				arg++;
			printf("given %d\n", kw_give((uint8_t)interface, (uint8_t)n, data, (uint8_t)unhex(arg, data, sizeof data)));
		} else if (!strncmp(line, "now ", 4)) {
			printf("now ");
			hex(out, kw_now((uint8_t)interface, (uint8_t)n, out));
		} else if (!strncmp(line, "interface ", 10)) {
			interface = (unsigned long)n % KW_MAX_INTERFACES;
		} else if (!strncmp(line, "boot", 4)) {
			printf("boot ");
			hex(out, kw_boot((uint8_t)interface, out));
		} else if (!strncmp(line, "midi", 4)) {
			printf("midi ");
			hex(out, kw_midi(out));
		} else if (!strncmp(line, "hear ", 5)) {
			uint8_t event[4];

			if (unhex(line + 5, event, sizeof event) == sizeof event)
				kw_hear(event);
		} else if (!strncmp(line, "anew", 4)) {
			kw_anew();
		} else if (!strncmp(line, "lamps", 5)) {
			printf("lamps ");
			for (uint8_t l = 0; l < kw_lamps(); l++)
				putchar(kw_lamp(l) ? '1' : '0');
			putchar('\n');
		} else if (!strncmp(line, "held ", 5)) {
			printf("held %d\n", kw_held((uint8_t)n));
		} else if (!strncmp(line, "end", 3)) {
			puts("end");
			fflush(stdout);
		}
	}
	return 0;
}
