#include "kwb_inner.h"

#include "../core/kw_inner.h"
#include "hal.h"

/* The board's part of the table, checked once. */
static const uint8_t *base;
static uint32_t crc;
static struct {
	enum kw_error error;
	uint8_t section;
	uint16_t record;
} found;

enum { HEADER = 20, ENTRY = 6 };

static uint8_t count(void) { return base ? KW_ROM8(base + 18) : 0; }

static const uint8_t *entry(uint8_t type)
{
	for (uint8_t i = 0; i < count(); i++) {
		const uint8_t *e = base + HEADER + (uint16_t)i * ENTRY;

		if (KW_ROM8(e) == type)
			return e;
	}
	return 0;
}

const uint8_t *kwb_blob(uint8_t type, uint16_t *length)
{
	const uint8_t *e = entry(type);

	*length = e ? kw_rom16(e + 2) : 0;
	return e ? base + kw_rom16(e + 4) : 0;
}

uint8_t kwb_records(uint8_t type, const uint8_t **at, uint8_t *stride)
{
	const uint8_t *e = entry(type);

	*stride = e ? KW_ROM8(e + 1) : 0;
	*at = e ? base + kw_rom16(e + 4) : 0;
	return e ? (uint8_t)kw_rom16(e + 2) : 0;
}

static enum kw_error bad(uint8_t section, uint16_t record, enum kw_error e)
{
	found.section = section;
	found.record = record;
	return e;
}

static bool pin(uint8_t p) { return hal_pin_ok(p); }
static bool raws(uint16_t from, uint16_t n) { return from + n <= KW_MAX_RAW; }

static bool direct(const uint8_t *r) { return raws(KW_ROM8(r), 1) && pin(KW_ROM8(r + 1)) && KW_ROM8(r + 2) <= 3; }

static bool matrix(const uint8_t *r)
{
	const uint8_t rows = KW_ROM8(r + 1), columns = KW_ROM8(r + 2);
	const uint8_t *at;
	uint8_t stride;

	return rows > 0 && columns > 0 && rows <= KWB_MAX_LINES && columns <= KWB_MAX_LINES && raws(KW_ROM8(r), (uint16_t)(rows * columns)) &&
	       kwb_records(KWB_S_ROWS, &at, &stride) == rows && kwb_records(KWB_S_COLUMNS, &at, &stride) == columns;
}

static bool line(const uint8_t *r) { return pin(KW_ROM8(r)); }

static bool chain(const uint8_t *r)
{
	return KW_ROM8(r + 1) > 0 && raws(KW_ROM8(r), KW_ROM8(r + 1)) && pin(KW_ROM8(r + 2)) && pin(KW_ROM8(r + 3)) && pin(KW_ROM8(r + 4)) && KW_ROM8(r + 5) <= 1;
}

static bool expander(const uint8_t *r) { return raws(KW_ROM8(r), 16) && KW_ROM8(r + 1) < 0x80 && pin(KW_ROM8(r + 2)) && pin(KW_ROM8(r + 3)); }

static bool mux(const uint8_t *r)
{
	return hal_channel_ok(KW_ROM8(r)) && pin(KW_ROM8(r + 1)) && (KW_ROM8(r + 2) == KW_NO || pin(KW_ROM8(r + 2))) && (KW_ROM8(r + 3) == KW_NO || pin(KW_ROM8(r + 3)));
}

static bool analog(const uint8_t *r)
{
	const uint8_t *at;
	uint8_t stride;

	if (KW_ROM8(r + 2) != KW_NO)
		return KW_ROM8(r + 2) < kwb_records(KWB_S_MUXES, &at, &stride) && KW_ROM8(r + 3) < 8;
	return hal_channel_ok(KW_ROM8(r + 1));
}

static bool ladder(const uint8_t *r)
{
	const uint8_t *at;
	uint8_t stride;

	return hal_channel_ok(KW_ROM8(r)) && KW_ROM8(r + 2) > 0 && raws(KW_ROM8(r + 1), KW_ROM8(r + 2)) &&
	       (uint16_t)KW_ROM8(r + 3) + KW_ROM8(r + 2) <= kwb_records(KWB_S_STEPS, &at, &stride);
}

static bool lamp(const uint8_t *r) { return pin(KW_ROM8(r)) && KW_ROM8(r + 2) <= 1; }

static bool endpoint(const uint8_t *r)
{
	const uint8_t n = KW_ROM8(r) & 0x7F;
	const uint8_t *at;
	uint8_t stride, same = 0;

	for (uint8_t i = kwb_records(KWB_S_ENDPOINTS, &at, &stride); i > 0; i--, at += stride)
		if (HAL_ONE_WAY ? (KW_ROM8(at) & 0x7F) == n : KW_ROM8(at) == KW_ROM8(r))
			same++;
	return same == 1 && n > 0 && n <= KWB_MAX_ENDPOINTS && KW_ROM8(r + 1) < KW_MAX_INTERFACES && KW_ROM8(r + 2) > 0 && KW_ROM8(r + 2) <= 64 && (KW_ROM8(r + 3) == 3 || KW_ROM8(r + 3) == 2);
}

/* An input report must fit the endpoint that sends it, also in the boot protocol; so must the events of MIDI. */
static bool reports(void)
{
	const uint8_t *at;
	uint8_t stride;

	for (uint8_t i = kwb_records(KWB_S_ENDPOINTS, &at, &stride); i > 0; i--, at += stride) {
		const uint8_t size = KW_ROM8(at + 2);

		if (!(KW_ROM8(at) & 0x80))
			continue;
		if (KW_ROM8(at + 3) == 2 && size < KW_MIDI_LENGTH)
			return false;
		for (uint8_t k = 0; k < kw_count(KW_REPORTS); k++) {
			const uint8_t *r = kw_record(KW_REPORTS, k);

			if (KW_ROM8(r + 1) != KW_INPUT || KW_ROM8(r + 4) != KW_ROM8(at + 1))
				continue;
			if (KW_ROM8(r + 2) + (KW_ROM8(r) != 0) > size || (KW_ROM8(r + 5) != 0 && size < KW_BOOT_LENGTH))
				return false;
		}
	}
	return true;
}

/* The descriptors of a configuration follow one another to its end, and none is shorter than its kind. */
static bool descriptors(const uint8_t *d, uint16_t n)
{
	uint16_t at = 0;

	while (at + 2u <= n) {
		const uint8_t length = KW_ROM8(d + at), kind = KW_ROM8(d + at + 1);

		if (length > n - at || length < (kind == 5 ? 7 : kind == 4 || kind == 0x21 ? 9 : 2))
			return false;
		at = (uint16_t)(at + length);
	}
	return at == n;
}

static bool any(const uint8_t *r)
{
	(void)r;
	return true;
}

struct rule {
	uint8_t type, stride, most;
	bool (*check)(const uint8_t *record);
};

static const struct rule rules[] = {
	{KWB_S_ENDPOINTS, 4, 2 * KWB_MAX_ENDPOINTS, endpoint}, {KWB_S_DIRECT, 4, KWB_MAX_DIRECT, direct}, {KWB_S_ROWS, 1, KWB_MAX_LINES, line},
	{KWB_S_COLUMNS, 1, KWB_MAX_LINES, line},               {KWB_S_MATRIX, 4, 1, matrix},              {KWB_S_CHAINS, 6, KWB_MAX_CHAINS, chain},
	{KWB_S_EXPANDERS, 8, KWB_MAX_EXPANDERS, expander},     {KWB_S_MUXES, 4, KWB_MAX_MUXES, mux},      {KWB_S_ANALOG, 4, KWB_MAX_ANALOG, analog},
	{KWB_S_STEPS, 2, KWB_MAX_STEPS, any},                  {KWB_S_LADDERS, 4, 4, ladder},             {KWB_S_LAMPS, 4, KW_MAX_LAMPS, lamp},
};

static enum kw_error check(void)
{
	const uint8_t n = count();

	for (uint8_t i = 0; i < n; i++) { /* no section twice, and blobs byte for byte */
		const uint8_t type = KW_ROM8(base + HEADER + (uint16_t)i * ENTRY);

		if (entry(type) != base + HEADER + (uint16_t)i * ENTRY || (type < KWB_S_ENDPOINTS && KW_ROM8(entry(type) + 1) != 1))
			return bad(type, 0, KW_SECTION);
	}
	for (uint8_t k = 0; k < sizeof rules / sizeof *rules; k++) {
		const uint8_t *e = entry(rules[k].type);
		const uint8_t *r;

		if (!e)
			continue;
		if (KW_ROM8(e + 1) < rules[k].stride)
			return bad(rules[k].type, 0, KW_SECTION);
		if (kw_rom16(e + 2) > rules[k].most)
			return bad(rules[k].type, rules[k].most, KW_LIMIT);
		r = base + kw_rom16(e + 4);
		for (uint8_t i = 0; i < kw_rom16(e + 2); i++, r += KW_ROM8(e + 1))
			if (!rules[k].check(r))
				return bad(rules[k].type, i, KW_VALUE);
	}
	{
		uint16_t length;
		const uint8_t *d = kwb_blob(KWB_S_DEVICE, &length);

		if (!d || length != 18 || KW_ROM8(d) != 18)
			return bad(KWB_S_DEVICE, 0, KW_VALUE);
		d = kwb_blob(KWB_S_CONFIGURATION, &length);
		if (!d || length < 9 || length > 512 || kw_rom16(d + 2) != length || !descriptors(d, length))
			return bad(KWB_S_CONFIGURATION, 0, KW_VALUE);
	}
	if (!reports())
		return bad(KWB_S_ENDPOINTS, 0, KW_VALUE);
	return KW_OK;
}

enum kw_error kwb_begin(const uint8_t *table, uint16_t room)
{
	static const uint8_t none[KW_MAX_RAW / 8];

	base = 0;
	crc = 0;
	found.section = 0;
	found.record = 0;
	found.error = kw_begin(table, room, hal_chip_id(), none);
	if (found.error != KW_OK) {
		kw_where(&found.section, &found.record);
		kwb_scan_begin(); /* nothing of a table before it is looked at any more */
		kwb_usb_begin();
		return found.error;
	}
	base = table;
	found.error = check();
	if (found.error != KW_OK) {
		base = 0;
		kw_begin(table, 0, hal_chip_id(), none); /* refused: nothing moves */
		kwb_scan_begin();
		kwb_usb_begin();
		return found.error;
	}
	crc = kw_rom32(table + 4);
	kwb_scan_begin();
	kwb_usb_begin();
	/* a first whole look, which must come to an end: what is held now gives no pulse */
	kwb_encoders();
	kwb_look();
	for (uint16_t i = 0; i < 2000 && !kwb_seen_all(); i++) {
		kwb_look();
		kwb_slice();
	}
	return found.error = kw_begin(table, room, hal_chip_id(), kwb_raw());
}

enum kw_error kwb_state(uint8_t *section, uint16_t *record)
{
	*section = found.section;
	*record = found.record;
	return found.error;
}

uint32_t kwb_table_crc(void) { return crc; }
