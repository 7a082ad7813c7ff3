#include "kw_inner.h"

/*
 * Choices: what a field takes when an input closes, and keeps when it opens: a rotary switch as an axis, whose contacts are all open
 * between two positions. Record: input, width, report bit u16, value u16.
 */
static uint8_t input_of(const uint8_t *r) { return KW_ROM8(r); }
static uint8_t width_of(const uint8_t *r) { return KW_ROM8(r + 1); }
static uint16_t bit_of(const uint8_t *r) { return kw_rom16(r + 2); }
static uint16_t value_of(const uint8_t *r) { return kw_rom16(r + 4); }

bool kw_choice_check(uint8_t i)
{
	const uint8_t *r = kw_record(KW_CHOICES, i);

	return input_of(r) < kw_count(KW_INPUTS) && width_of(r) <= 16 && kw_fits(bit_of(r), width_of(r), KW_INPUT) &&
	       (uint32_t)value_of(r) >> width_of(r) == 0;
}

void kw_choice_made(uint8_t input)
{
	for (uint8_t i = 0; i < kw_count(KW_CHOICES); i++) {
		const uint8_t *r = kw_record(KW_CHOICES, i);

		if (input_of(r) == input)
			kw_put(bit_of(r), width_of(r), value_of(r));
	}
}
