#include "kw_inner.h"

/*
 * Events of USB-MIDI. The bits of the report of this kind are set like those of any other; what differs from what the host was told last
 * becomes a packet. So nothing piles up while nobody listens, and no note is left sounding: a note that began and ended meanwhile was
 * never told. Source: MIDI 1.0; USB Device Class Definition for MIDI Devices 1.0, 4.
 *
 * Record: 0 bit u16   2 width   3 flags: 1 relative   4 status byte with its channel   5 note, control or program
 *         6 value when on   7 value when off
 * Width 1 is a contact: a note begins and ends, a control takes one value and then the other, a program is chosen. Width 7 is a control
 * that takes any value. A relative one is of an encoder: it gives its steps as seven bits with a sign. Those come first and fit into one
 * packet together, because steps that were taken out must be told.
 */
enum { RELATIVE = 1 };
enum { NOTE_OFF = 0x80, NOTE_ON = 0x90, CONTROL = 0xB0, PROGRAM = 0xC0 };
enum { UNKNOWN = 0xFF, PACKET = 4 };

static uint8_t told[KW_MAX_EVENTS];

static const uint8_t *record(uint8_t i) { return kw_record(KW_EVENTS, i); }
static uint16_t bit_of(const uint8_t *r) { return kw_rom16(r); }
static uint8_t width_of(const uint8_t *r) { return KW_ROM8(r + 2); }
static bool relative(const uint8_t *r) { return KW_ROM8(r + 3) != 0; }

bool kw_event_check(uint8_t i)
{
	const uint8_t *r = record(i);
	const uint8_t width = width_of(r), kind = KW_ROM8(r + 4) & 0xF0;

	if ((width != 1 && width != 7) || !kw_fits(bit_of(r), width, KW_MIDI) || KW_ROM8(r + 3) > RELATIVE)
		return false;
	if ((KW_ROM8(r + 5) | KW_ROM8(r + 6) | KW_ROM8(r + 7)) & 0x80)
		return false;
	if (relative(r) && (width != 7 || i >= KW_MAX_ENCODERS || (i > 0 && !relative(record((uint8_t)(i - 1))))))
		return false;
	if (width == 7 || kind == CONTROL)
		return kind == CONTROL;
	return kind == NOTE_ON || (kind == PROGRAM && KW_ROM8(r + 6) == 0);
}

/* The host knows of no note and of no control. */
void kw_midi_begin(void)
{
	for (uint8_t i = 0; i < kw_count(KW_EVENTS); i++)
		told[i] = width_of(record(i)) == 1 ? 0 : UNKNOWN;
}

uint8_t kw_midi(uint8_t *out)
{
	const uint8_t count = kw_count(KW_EVENTS);
	uint8_t n = 0, report;

	if (count == 0)
		return 0;
	report = kw_owner(bit_of(record(0)));
	if (!kw_unmark(report))
		return 0;
	kw_encoder_fill(report);
	for (uint8_t i = 0; i < count; i++) {
		const uint8_t *r = record(i);
		const uint8_t now = (uint8_t)kw_get(bit_of(r), width_of(r));
		uint8_t status = KW_ROM8(r + 4), value = now;

		if (now == (relative(r) ? 0 : told[i]))
			continue;
		if (n == KW_MIDI_LENGTH) { /* the others with the next packet */
			kw_mark(report);
			break;
		}
		told[i] = now;
		if (width_of(r) == 1) {
			value = KW_ROM8(r + (now ? 6 : 7));
			if (!now && (status & 0xF0) == PROGRAM)
				continue;
			if (!now && (status & 0xF0) == NOTE_ON)
				status ^= NOTE_ON ^ NOTE_OFF;
		}
		out[n] = status >> 4;
		out[n + 1] = status;
		out[n + 2] = KW_ROM8(r + 5);
		out[n + 3] = value;
		n = (uint8_t)(n + PACKET);
	}
	kw_encoder_taken(report);
	return n;
}
