#include "kw_inner.h"

/*
 * All reports lie in one row of bytes, in the order of the table, each from its own start. A "bit" in the table counts from the start
 * of that row. Record: id, kind, length in bytes, start in bytes, interface, first key. Bits of a report that the table gives to nothing
 * stay 0. With a first key, the report is modifiers and then one bit for each key from that on.
 */
static uint8_t state[KW_MAX_STATE];
static uint8_t owner[KW_MAX_STATE]; /* the report of each byte */
static bool changed[KW_MAX_REPORTS];
static uint8_t turn[KW_MAX_INTERFACES];

static uint8_t id_of(uint8_t i) { return KW_ROM8(kw_record(KW_REPORTS, i)); }
static uint8_t kind_of(uint8_t i) { return KW_ROM8(kw_record(KW_REPORTS, i) + 1); }
static uint8_t length_of(uint8_t i) { return KW_ROM8(kw_record(KW_REPORTS, i) + 2); }
static uint8_t start_of(uint8_t i) { return KW_ROM8(kw_record(KW_REPORTS, i) + 3); }
static uint8_t interface_of(uint8_t i) { return KW_ROM8(kw_record(KW_REPORTS, i) + 4); }
static uint8_t keys_of(uint8_t i) { return KW_ROM8(kw_record(KW_REPORTS, i) + 5); }

bool kw_report_check(uint8_t i)
{
	const uint16_t end = (uint16_t)(start_of(i) + length_of(i));

	const uint8_t kind = kind_of(i), id = id_of(i), keys = keys_of(i);

	if (kind > KW_MIDI || length_of(i) == 0 || length_of(i) > 63 || end > KW_MAX_STATE || interface_of(i) >= KW_MAX_INTERFACES)
		return false;
	if (i > 0 && start_of(i) < start_of(i - 1) + length_of(i - 1))
		return false;
	if (keys != 0 && (kind != KW_INPUT || id != 0 || keys + (length_of(i) - 1) * 8 > 256))
		return false;
	for (uint8_t k = 0; k < i; k++) {
		if (kind == KW_MIDI && kind_of(k) == KW_MIDI)
			return false;
		if (interface_of(k) == interface_of(i) && ((id_of(k) == 0) != (id == 0) || (id_of(k) == id && kind_of(k) == kind)))
			return false;
	}
	return true;
}

void kw_report_begin(void)
{
	for (uint8_t i = 0; i < KW_MAX_STATE; i++)
		state[i] = 0;
	for (uint8_t i = 0; i < kw_count(KW_REPORTS); i++)
		for (uint8_t k = 0; k < length_of(i); k++)
			owner[start_of(i) + k] = i;
	for (uint8_t i = 0; i < KW_MAX_REPORTS; i++)
		changed[i] = false;
	for (uint8_t i = 0; i < KW_MAX_INTERFACES; i++)
		turn[i] = 0;
}

uint8_t kw_report_of(uint16_t bit)
{
	for (uint8_t i = 0; i < kw_count(KW_REPORTS); i++)
		if (bit >= start_of(i) * 8u && bit < (start_of(i) + length_of(i)) * 8u)
			return i;
	return KW_NO;
}

uint8_t kw_owner(uint16_t bit) { return owner[bit >> 3]; }

bool kw_fits(uint16_t bit, uint8_t width, uint8_t kind)
{
	const uint8_t i = kw_report_of(bit);

	if (i == KW_NO || width == 0 || width > 32 || kw_report_of((uint16_t)(bit + width - 1)) != i)
		return false;
	return kind_of(i) == kind || (kind == KW_INPUT && kind_of(i) == KW_MIDI);
}

uint32_t kw_get(uint16_t bit, uint8_t width)
{
	uint32_t v = 0;

	for (uint8_t i = width; i > 0; i--) {
		const uint16_t b = (uint16_t)(bit + i - 1);

		v = v << 1 | (state[b >> 3] >> (b & 7) & 1);
	}
	return v;
}

/* A byte at a time: chips that shift by one bit in a cycle would take long over every single bit. */
bool kw_store(uint16_t bit, uint8_t width, uint32_t value)
{
	uint8_t *at = state + (bit >> 3);
	uint8_t off = bit & 7;
	bool other = false;

	while (width > 0) {
		const uint8_t n = (uint8_t)(8 - off) < width ? (uint8_t)(8 - off) : width;
		const uint8_t mask = (uint8_t)((uint8_t)(0xFF >> (8 - n)) << off);
		const uint8_t now = (uint8_t)((*at & ~mask) | ((uint8_t)(value << off) & mask));

		if (now != *at)
			other = true;
		*at++ = now;
		width = (uint8_t)(width - n);
		value >>= n;
		off = 0;
	}
	return other;
}

void kw_put(uint16_t bit, uint8_t width, uint32_t value)
{
	if (bit != KW_NONE && kw_store(bit, width, value))
		kw_mark(owner[bit >> 3]);
}

void kw_put1(uint16_t bit, bool on)
{
	const uint8_t mask = kw_mask(bit & 7);
	uint8_t *at;

	if (bit == KW_NONE)
		return;
	at = state + (bit >> 3);
	if (((*at & mask) != 0) == on)
		return;
	*at ^= mask;
	kw_mark(owner[bit >> 3]);
}

void kw_mark(uint8_t report) { changed[report] = true; }

bool kw_unmark(uint8_t report)
{
	const bool was = changed[report];

	changed[report] = false;
	return was;
}

void kw_anew(void)
{
	for (uint8_t i = 0; i < kw_count(KW_REPORTS); i++)
		kw_mark(i);
	kw_midi_begin();
}

bool kw_waiting(void)
{
	for (uint8_t i = 0; i < kw_count(KW_REPORTS); i++)
		if (changed[i] && kind_of(i) != KW_OUTPUT)
			return true;
	return false;
}

static uint8_t copy(uint8_t i, uint8_t *out)
{
	const uint8_t id = id_of(i), length = length_of(i), *from = state + start_of(i);
	uint8_t n = 0;

	if (id != 0)
		out[n++] = id;
	for (uint8_t k = 0; k < length; k++)
		out[n++] = from[k];
	return n;
}

/* Whether it is an input report of the interface. */
static bool sends(uint8_t i, uint8_t interface) { return kind_of(i) == KW_INPUT && interface_of(i) == interface; }

uint8_t kw_take(uint8_t interface, uint8_t *out)
{
	const uint8_t count = kw_count(KW_REPORTS);

	uint8_t next = turn[interface];

	for (uint8_t n = 0; n < count; n++) { /* without dividing: this is asked all the time */
		const uint8_t i = next;
		uint8_t length;

		if (++next >= count)
			next = 0;
		if (!changed[i] || !sends(i, interface))
			continue;
		turn[interface] = next;
		kw_encoder_fill(i);
		changed[i] = false;
		length = copy(i, out);
		kw_encoder_taken(i);
		return length;
	}
	return 0;
}

uint8_t kw_again(uint8_t interface, uint8_t *out)
{
	const uint8_t count = kw_count(KW_REPORTS);

	for (uint8_t n = 0; n < count; n++) {
		const uint8_t i = (uint8_t)((turn[interface] + n) % count);

		if (!sends(i, interface))
			continue;
		turn[interface] = (uint8_t)((i + 1) % count);
		return copy(i, out);
	}
	return 0;
}

bool kw_numbered(uint8_t interface)
{
	for (uint8_t i = 0; i < kw_count(KW_REPORTS); i++)
		if (interface_of(i) == interface)
			return id_of(i) != 0;
	return false;
}

static uint8_t find(uint8_t interface, uint8_t id, uint8_t kind)
{
	for (uint8_t i = 0; i < kw_count(KW_REPORTS); i++)
		if (interface_of(i) == interface && id_of(i) == id && kind_of(i) == kind)
			return i;
	return KW_NO;
}

uint8_t kw_boot(uint8_t interface, uint8_t *out)
{
	const uint8_t i = find(interface, 0, KW_INPUT);
	uint8_t n = 2, key;

	if (i == KW_NO || keys_of(i) == 0)
		return 0;
	key = keys_of(i);
	for (uint8_t k = 0; k < KW_BOOT_LENGTH; k++)
		out[k] = 0;
	out[0] = state[start_of(i)];
	for (uint8_t k = 1; k < length_of(i); k++) {
		uint8_t bits = state[start_of(i) + k];

		for (uint8_t left = 8; left > 0; left--, bits >>= 1, key++) {
			if (!(bits & 1))
				continue;
			if (n < KW_BOOT_LENGTH) {
				out[n++] = key;
				continue;
			}
			for (n = 2; n < KW_BOOT_LENGTH; n++)
				out[n] = 1; /* more than six */
			return KW_BOOT_LENGTH;
		}
	}
	return KW_BOOT_LENGTH;
}

uint8_t kw_now(uint8_t interface, uint8_t id, uint8_t *out)
{
	const uint8_t i = find(interface, id, KW_INPUT);

	return i == KW_NO ? 0 : copy(i, out);
}

bool kw_give(uint8_t interface, uint8_t id, const uint8_t *data, uint8_t length)
{
	const uint8_t i = find(interface, id, KW_OUTPUT);

	if (i == KW_NO || length != length_of(i))
		return false;
	for (uint8_t k = 0; k < length; k++)
		state[start_of(i) + k] = data[k];
	return true;
}
