#include "kw_inner.h"

/*
 * The table, version 1:
 *   0 mark "KWT1"    4 CRC-32 u32 of everything from 8 to the end
 *   8 format         9 revision  10 chip      11 least interface of the core
 *  12 length u16    14 flags u16 (none yet)
 *  16 tick u16, microseconds                  18 number of sections   19 nothing
 *  20 for each section: type, stride, count u16, start u16 (from the start of the table)
 * Strides may be longer than this core needs: later fields are passed over. A later revision is taken, a later format is not.
 */
enum { HEADER = 20, ENTRY = 6, FORMAT = 1, CHECKED_FROM = 8 };

struct kw_section kw_sections[KW_SECTIONS];

static struct {
	uint16_t tick;
	uint8_t section;
	uint16_t record;
	bool ready;
} table;

struct rule {
	uint8_t type, stride, most;
	bool (*check)(uint8_t i);
};

/* In the order of checking: what others point at comes first. */
static const struct rule rules[KW_SECTIONS] = {
	{KW_S_REPORTS, 6, KW_MAX_REPORTS, kw_report_check},    {KW_S_INPUTS, 8, KW_MAX_INPUTS, kw_input_check},
	{KW_S_PULSES, 6, KW_MAX_PULSES, kw_pulse_check},       {KW_S_TOGGLES, 4, KW_MAX_TOGGLES, kw_toggle_check},
	{KW_S_ENCODERS, 20, KW_MAX_ENCODERS, kw_encoder_check}, {KW_S_AXES, 24, KW_MAX_AXES, kw_axis_check},
	{KW_S_HATS, 6, KW_MAX_HATS, kw_hat_check},             {KW_S_LAMPS, 4, KW_MAX_LAMPS, kw_lamp_check},
	{KW_S_GESTURES, 8, KW_MAX_GESTURES, kw_gesture_check}, {KW_S_STEPS, 6, KW_MAX_STEPS, kw_step_check},
	{KW_S_MACROS, 2, KW_MAX_MACROS, kw_macro_check},       {KW_S_EVENTS, 8, KW_MAX_EVENTS, kw_event_check},
	{KW_S_CHOICES, 6, KW_MAX_CHOICES, kw_choice_check},    {KW_S_NEITHERS, 6, KW_MAX_NEITHERS, kw_neither_check},
};

static enum kw_error at(uint8_t section, uint16_t record, enum kw_error e)
{
	table.section = section;
	table.record = record;
	return e;
}

static enum kw_error header(const uint8_t *t, uint16_t room, uint8_t chip)
{
	uint16_t length;

	if (room < HEADER || KW_ROM8(t) != 'K' || KW_ROM8(t + 1) != 'W' || KW_ROM8(t + 2) != 'T' || KW_ROM8(t + 3) != '1')
		return KW_NO_TABLE;
	if (KW_ROM8(t + 8) != FORMAT || KW_ROM8(t + 11) > KW_ABI || kw_rom16(t + 14) != 0)
		return KW_VERSION;
	if (KW_ROM8(t + 10) != chip)
		return KW_OTHER_CHIP;
	length = kw_rom16(t + 12);
	if (length > room || length < HEADER + (uint16_t)KW_ROM8(t + 18) * ENTRY)
		return KW_LENGTH;
	if (kw_crc32(t + CHECKED_FROM, (uint16_t)(length - CHECKED_FROM)) != kw_rom32(t + 4))
		return KW_CHECKSUM;
	table.tick = kw_rom16(t + 16);
	if (table.tick < 50 || KW_ROM8(t + 19) != 0)
		return at(0, 0, KW_VALUE);
	return KW_OK;
}

/* Finds the sections, each within the table and known or passed over. */
static enum kw_error sections(const uint8_t *t)
{
	const uint8_t n = KW_ROM8(t + 18);
	const uint16_t length = kw_rom16(t + 12);

	for (uint8_t i = 0; i < n; i++) {
		const uint8_t *e = t + HEADER + (uint16_t)i * ENTRY;
		const uint8_t type = KW_ROM8(e), stride = KW_ROM8(e + 1);
		const uint16_t count = kw_rom16(e + 2), start = kw_rom16(e + 4);
		uint8_t k;

		if (start < HEADER + (uint16_t)n * ENTRY || start > length || (uint32_t)stride * count > (uint32_t)(length - start))
			return at(type, 0, KW_SECTION);
		for (k = 0; k < KW_SECTIONS && rules[k].type != type; k++)
			;
		if (k == KW_SECTIONS) {
			if (type & 0x80)
				return at(type, 0, KW_SECTION);
			continue;
		}
		if (kw_sections[k].stride != 0 || stride < rules[k].stride)
			return at(type, 0, KW_SECTION);
		if (count > rules[k].most)
			return at(type, rules[k].most, KW_LIMIT);
		kw_sections[k].at = t + start;
		kw_sections[k].count = count;
		kw_sections[k].stride = stride;
	}
	return KW_OK;
}

enum kw_error kw_begin(const uint8_t *t, uint16_t room, uint8_t chip, const uint8_t *raw)
{
	enum kw_error e;

	table.ready = false;
	at(0, 0, KW_OK);
	for (uint8_t k = 0; k < KW_SECTIONS; k++)
		kw_sections[k] = (struct kw_section){0, 0, 0};
	e = header(t, room, chip);
	if (e == KW_OK)
		e = sections(t);
	for (uint8_t k = 0; e == KW_OK && k < KW_SECTIONS; k++)
		for (uint8_t i = 0; e == KW_OK && i < kw_count(k); i++)
			if (!rules[k].check(i))
				e = at(rules[k].type, i, KW_VALUE);
	if (e != KW_OK) {
		for (uint8_t k = 0; k < KW_SECTIONS; k++)
			kw_sections[k].count = 0;
	}
	kw_report_begin();
	kw_pulse_begin();
	kw_macro_begin();
	kw_lamp_begin();
	kw_axis_begin();
	kw_encoder_begin(raw);
	kw_input_begin(raw);
	kw_gesture_begin();
	kw_hat_update();
	kw_midi_begin();
	table.ready = e == KW_OK;
	return e;
}

void kw_where(uint8_t *section, uint16_t *record)
{
	*section = table.section;
	*record = table.record;
}

uint16_t kw_tick_us(void) { return table.tick; }

void kw_tick(const uint8_t *raw)
{
	if (!table.ready)
		return;
	kw_gesture_tick();
	kw_input_tick(raw);
	kw_pulse_tick();
	kw_macro_tick();
}
