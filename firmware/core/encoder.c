#include "kw_inner.h"

/*
 * Encoders: two contacts that close one after the other. The states in the order 00 01 11 10 (A, B) are one step up each. A step over
 * two states has no direction and counts nothing. Whenever the contacts stand where the shaft rests, the steps since the last rest are
 * rounded to whole detents and forgotten: a step that was missed does not move the detents for good, and contacts that chatter about
 * the rest count nothing.
 *
 * Record: 0 raw A, 1 raw B, 2 resting states (bit n for state n = 2A + B), 3 steps in a detent: 1, 2 or 4
 *   4 kind: pulses, relative axis, absolute axis that stops, absolute axis that wraps     5 flags: 1 turns the other way round
 *   6 action for up, 7 action for down (a pulse or a macro, or KW_NO)   8 report bit u16   10 width   11 nothing
 *   12 least i16   14 greatest i16   16 change by one detent i16   18 value at the start i16
 * Least and greatest are of the axis; of a relative one, what one report can carry. The other kinds' fields are not looked at.
 */
enum { PULSES, RELATIVE, STOPS, WRAPS };
enum { REVERSE = 1 };

static struct {
	int16_t value; /* of an absolute axis; of a relative one, what is still to be sent */
	int8_t steps;  /* since the last rest */
	uint8_t state;
	/* places and masks of the raw bits, out of the table: they are looked at more often than anything else */
	uint8_t a, b, mask_a, mask_b;
} encoders[KW_MAX_ENCODERS];

static const uint8_t *record(uint8_t e) { return kw_record(KW_ENCODERS, e); }
static uint8_t field(const uint8_t *r, uint8_t at) { return KW_ROM8(r + at); }
static int16_t number(const uint8_t *r, uint8_t at) { return (int16_t)kw_rom16(r + at); }
static uint16_t bit_of(const uint8_t *r) { return kw_rom16(r + 8); }
static bool acts(uint8_t action) { return action == KW_NO || kw_action_exists(action); }

/* Whether a value of the axis fits its bits. */
static bool holds(uint8_t width, int16_t lo, int16_t hi)
{
	const uint8_t need = (uint8_t)(width - (lo < 0 ? 1 : 0)); /* bits without the sign */

	if (width == 0 || width > 16)
		return false;
	for (uint8_t i = need; i < 15; i++)
		if ((hi >= 0 && hi >> i & 1) || (lo < 0 && ~lo >> i & 1))
			return false;
	return true;
}

bool kw_encoder_check(uint8_t e)
{
	const uint8_t *r = record(e);
	const uint8_t rest = field(r, 2), steps = field(r, 3), kind = field(r, 4);
	const int16_t lo = number(r, 12), hi = number(r, 14), step = number(r, 16), start = number(r, 18);

	if (field(r, 0) >= KW_MAX_RAW || field(r, 1) >= KW_MAX_RAW || field(r, 0) == field(r, 1) || field(r, 5) > REVERSE)
		return false;
	if (!(steps == 1 && rest == 15) && !(steps == 2 && (rest == 9 || rest == 6)) &&
	    !(steps == 4 && (rest == 1 || rest == 2 || rest == 4 || rest == 8)))
		return false;
	if (kind == PULSES)
		return acts(field(r, 6)) && acts(field(r, 7));
	if (kind > WRAPS || !kw_fits(bit_of(r), field(r, 10), KW_INPUT) || !holds(field(r, 10), lo, hi) || lo >= hi || step == 0)
		return false;
	if (kind == RELATIVE)
		return lo <= 0 && hi >= 0;
	return start >= lo && start <= hi && step <= hi - (int32_t)lo && -(int32_t)step <= hi - (int32_t)lo;
}

static uint8_t contacts(uint8_t e, const uint8_t *raw)
{
	return (uint8_t)((raw[encoders[e].a] & encoders[e].mask_a ? 2 : 0) | (raw[encoders[e].b] & encoders[e].mask_b ? 1 : 0));
}

void kw_encoder_begin(const uint8_t *raw)
{
	for (uint8_t e = 0; e < kw_count(KW_ENCODERS); e++) {
		const uint8_t *r = record(e);

		encoders[e].a = field(r, 0) >> 3;
		encoders[e].b = field(r, 1) >> 3;
		encoders[e].mask_a = kw_mask(field(r, 0) & 7);
		encoders[e].mask_b = kw_mask(field(r, 1) & 7);
		encoders[e].state = contacts(e, raw);
		encoders[e].steps = 0;
		encoders[e].value = 0;
		if (field(r, 4) >= STOPS) {
			encoders[e].value = number(r, 18);
			kw_store(bit_of(r), field(r, 10), (uint32_t)encoders[e].value);
		}
	}
}

static void relative(uint8_t e, const uint8_t *r, int32_t by)
{
	const int32_t sum = encoders[e].value + by;

	encoders[e].value = (int16_t)(sum > INT16_MAX ? INT16_MAX : sum < -INT16_MAX ? -INT16_MAX : sum);
	kw_mark(kw_owner(bit_of(r)));
}

static void absolute(uint8_t e, const uint8_t *r, int32_t by)
{
	const int32_t lo = number(r, 12), hi = number(r, 14);
	int32_t sum = encoders[e].value + by;

	if (field(r, 4) == WRAPS && sum > hi)
		sum -= hi - lo + 1;
	else if (field(r, 4) == WRAPS && sum < lo)
		sum += hi - lo + 1;
	encoders[e].value = (int16_t)(sum > hi ? hi : sum < lo ? lo : sum);
	kw_put(bit_of(r), field(r, 10), (uint32_t)encoders[e].value);
}

/* One detent. As actions, a detent back takes away one that still waits to be sent the other way. */
static void detent(uint8_t e, const uint8_t *r, bool up)
{
	const uint8_t kind = field(r, 4);
	int32_t by = number(r, 16);

	if (field(r, 5) & REVERSE)
		up = !up;
	if (!up)
		by = -by;
	if (kind == RELATIVE)
		relative(e, r, by);
	else if (kind != PULSES)
		absolute(e, r, by);
	else if (!kw_action_cancel(field(r, up ? 7 : 6)))
		kw_action(field(r, up ? 6 : 7));
}

void kw_sample(const uint8_t *raw)
{
	/* by old state times four plus new state; the order 00 01 11 10 is up */
	static const int8_t step[16] = {0, 1, -1, 0, -1, 0, 0, 1, 1, 0, 0, -1, 0, -1, 1, 0};

	const uint8_t count = kw_count(KW_ENCODERS);

	for (uint8_t e = 0; e < count; e++) {
		const uint8_t now = contacts(e, raw);
		const uint8_t *r;
		uint8_t per;
		int8_t n;

		if (now == encoders[e].state)
			continue;
		r = record(e);
		per = field(r, 3);
		n = (int8_t)(encoders[e].steps + step[encoders[e].state << 2 | now]);
		encoders[e].state = now;
		if (field(r, 2) >> now & 1) {
			for (uint8_t d = (uint8_t)(((n < 0 ? -n : n) + per / 2) / per); d > 0; d--)
				detent(e, r, n > 0);
			n = 0;
		}
		encoders[e].steps = n;
	}
}

/* What a report can carry of the steps of a relative axis; 0 where e is none, or of another report. */
static int16_t carried(uint8_t e, const uint8_t *r, uint8_t report)
{
	const int16_t v = encoders[e].value;
	int16_t lo, hi;

	if (v == 0 || field(r, 4) != RELATIVE || kw_owner(bit_of(r)) != report)
		return 0;
	lo = number(r, 12);
	hi = number(r, 14);
	return v > hi ? hi : v < lo ? lo : v;
}

/* Where nothing is to be sent the bits are 0 as they are. */
void kw_encoder_fill(uint8_t report)
{
	for (uint8_t e = 0; e < kw_count(KW_ENCODERS); e++) {
		const uint8_t *r = record(e);
		const int16_t v = carried(e, r, report);

		if (v != 0)
			kw_store(bit_of(r), field(r, 10), (uint32_t)v);
	}
}

void kw_encoder_taken(uint8_t report)
{
	for (uint8_t e = 0; e < kw_count(KW_ENCODERS); e++) {
		const uint8_t *r = record(e);
		const int16_t v = carried(e, r, report);

		if (v == 0)
			continue;
		encoders[e].value = (int16_t)(encoders[e].value - v);
		kw_store(bit_of(r), field(r, 10), 0);
		if (encoders[e].value != 0)
			kw_mark(report);
	}
}
