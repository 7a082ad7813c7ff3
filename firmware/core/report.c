#include "kw_inner.h"

/*
 * All reports lie in one row of bytes, in the order of the table, each from its own start. A "bit" in the table counts from the start
 * of that row. Record: id, kind, length in bytes, start in bytes, two bytes of nothing. Bits of a report that the table gives to
 * nothing stay 0.
 */
static uint8_t state[KW_MAX_STATE];
static uint8_t owner[KW_MAX_STATE]; /* the report of each byte */
static bool changed[KW_MAX_REPORTS];
static uint8_t turn;

static uint8_t id_of(uint8_t i) { return KW_ROM8(kw_record(KW_REPORTS, i)); }
static uint8_t kind_of(uint8_t i) { return KW_ROM8(kw_record(KW_REPORTS, i) + 1); }
static uint8_t length_of(uint8_t i) { return KW_ROM8(kw_record(KW_REPORTS, i) + 2); }
static uint8_t start_of(uint8_t i) { return KW_ROM8(kw_record(KW_REPORTS, i) + 3); }

bool kw_report_check(uint8_t i)
{
	const uint16_t end = (uint16_t)(start_of(i) + length_of(i));

	if (kind_of(i) > KW_OUTPUT || length_of(i) == 0 || length_of(i) > 63 || end > KW_MAX_STATE)
		return false;
	if (i > 0 && (start_of(i) < start_of(i - 1) + length_of(i - 1) || (id_of(i) == 0) != (id_of(0) == 0)))
		return false;
	for (uint8_t k = 0; k < i; k++)
		if (id_of(k) == id_of(i) && kind_of(k) == kind_of(i))
			return false;
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
	turn = 0;
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

	return i != KW_NO && width > 0 && width <= 32 && kind_of(i) == kind && kw_report_of((uint16_t)(bit + width - 1)) == i;
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

bool kw_waiting(void)
{
	for (uint8_t i = 0; i < kw_count(KW_REPORTS); i++)
		if (changed[i] && kind_of(i) == KW_INPUT)
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

uint8_t kw_take(uint8_t *out)
{
	const uint8_t count = kw_count(KW_REPORTS);

	uint8_t next = turn;

	for (uint8_t n = 0; n < count; n++) { /* without dividing: this is asked all the time */
		const uint8_t i = next;
		uint8_t length;

		if (++next >= count)
			next = 0;
		if (!changed[i] || kind_of(i) != KW_INPUT)
			continue;
		turn = next;
		kw_encoder_fill(i);
		changed[i] = false;
		length = copy(i, out);
		kw_encoder_taken(i);
		return length;
	}
	return 0;
}

uint8_t kw_again(uint8_t *out)
{
	const uint8_t count = kw_count(KW_REPORTS);

	for (uint8_t n = 0; n < count; n++) {
		const uint8_t i = (uint8_t)((turn + n) % count);

		if (kind_of(i) != KW_INPUT)
			continue;
		turn = (uint8_t)((i + 1) % count);
		return copy(i, out);
	}
	return 0;
}

bool kw_numbered(void) { return kw_count(KW_REPORTS) > 0 && id_of(0) != 0; }

static uint8_t find(uint8_t id, uint8_t kind)
{
	for (uint8_t i = 0; i < kw_count(KW_REPORTS); i++)
		if (id_of(i) == id && kind_of(i) == kind)
			return i;
	return KW_NO;
}

uint8_t kw_now(uint8_t id, uint8_t *out)
{
	const uint8_t i = find(id, KW_INPUT);

	return i == KW_NO ? 0 : copy(i, out);
}

bool kw_give(uint8_t id, const uint8_t *data, uint8_t length)
{
	const uint8_t i = find(id, KW_OUTPUT);

	if (i == KW_NO || length != length_of(i))
		return false;
	for (uint8_t k = 0; k < length; k++)
		state[start_of(i) + k] = data[k];
	return true;
}
