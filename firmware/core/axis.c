#include "kw_inner.h"

/*
 * Axes: voltages, 0 to 65535 whatever the converter. A reading goes through a filter that takes 1/2^n of the difference, and then
 * counts only when it has left the value that counts now by more than "still", or reached an end: a slide at rest sends nothing.
 *
 * Record: 0 channel, 1 filter n: 0 (none) to 8, 2 flags, 3 width, 4 report bit u16, 6 still u16
 *   8 reading at the low end u16   10 in the middle u16   12 at the high end u16   14 dead zone to either side of the middle u16
 *   16 value at the low end i32   20 at the high end i32; at most 65535 apart
 */
enum { INVERT = 1, MIDDLE = 2, ALL = 3 };

static struct {
	uint32_t sum;   /* filtered reading times 256 */
	uint16_t shown; /* the reading that counts */
	bool seen;
} axes[KW_MAX_AXES];

static const uint8_t *record(uint8_t a) { return kw_record(KW_AXES, a); }
static uint8_t field(const uint8_t *r, uint8_t at) { return KW_ROM8(r + at); }
static uint16_t number(const uint8_t *r, uint8_t at) { return kw_rom16(r + at); }
static int32_t value(const uint8_t *r, uint8_t at) { return (int32_t)kw_rom32(r + at); }

/* Whether the range fits the bits, as signed numbers when it begins below 0. */
static bool holds(uint8_t width, int32_t lo, int32_t hi)
{
	if (lo < -65535 || hi > 65535 * 2 || lo >= hi || hi - lo > 65535)
		return false;
	if (lo < 0)
		return width >= 2 && width <= 18 && hi < (int32_t)1 << (width - 1) && lo >= -((int32_t)1 << (width - 1));
	return width <= 18 && hi < (int32_t)1 << width;
}

bool kw_axis_check(uint8_t a)
{
	const uint8_t *r = record(a);
	const uint16_t lo = number(r, 8), mid = number(r, 10), hi = number(r, 12), dead = number(r, 14);

	if (field(r, 1) > 8 || field(r, 2) & ~ALL || lo >= hi)
		return false;
	if (!kw_fits(number(r, 4), field(r, 3), KW_INPUT) || !holds(field(r, 3), value(r, 16), value(r, 20)))
		return false;
	if (field(r, 2) & MIDDLE)
		return (uint32_t)lo + dead < mid && (uint32_t)mid + dead < hi;
	return true;
}

void kw_axis_begin(void)
{
	for (uint8_t a = 0; a < KW_MAX_AXES; a++)
		axes[a].seen = false;
}

uint8_t kw_channel(uint8_t a) { return a < kw_count(KW_AXES) ? field(record(a), 0) : (uint8_t)KW_NO; }

/* x between a and b to the same place between 0 and span, rounded; x outside counts as the end. */
static uint32_t between(uint16_t x, uint16_t a, uint16_t b, uint32_t span)
{
	const uint32_t width = (uint32_t)b - a;

	if (x <= a)
		return 0;
	if (x >= b)
		return span;
	return ((uint32_t)(x - a) * span + width / 2) / width;
}

/* Reading to value. */
static int32_t scale(const uint8_t *r, uint16_t x)
{
	const uint16_t lo = number(r, 8), mid = number(r, 10), hi = number(r, 12), dead = number(r, 14);
	const uint32_t span = (uint32_t)(value(r, 20) - value(r, 16));
	uint32_t v;

	if (!(field(r, 2) & MIDDLE))
		v = between(x, lo, hi, span);
	else if (x < mid)
		v = between(x, lo, (uint16_t)(mid - dead), span / 2);
	else
		v = span / 2 + between(x, (uint16_t)(mid + dead), hi, span - span / 2);
	if (field(r, 2) & INVERT)
		v = span - v;
	return value(r, 16) + (int32_t)v;
}

void kw_reading(uint8_t a, uint16_t x)
{
	const uint32_t fine = (uint32_t)x << 8;
	const uint8_t *r;
	uint16_t now;
	uint8_t n;

	if (a >= kw_count(KW_AXES))
		return;
	r = record(a);
	n = field(r, 1);
	if (!axes[a].seen)
		axes[a].sum = fine;
	else if (fine >= axes[a].sum)
		axes[a].sum += (fine - axes[a].sum) >> n;
	else
		axes[a].sum -= (axes[a].sum - fine) >> n;
	now = (uint16_t)((axes[a].sum + 128) >> 8 > 65535 ? 65535 : (axes[a].sum + 128) >> 8);
	if (axes[a].seen && now > number(r, 8) && now < number(r, 12) &&
	    (now > axes[a].shown ? now - axes[a].shown : axes[a].shown - now) <= number(r, 6))
		return;
	axes[a].seen = true;
	axes[a].shown = now;
	kw_put(number(r, 4), field(r, 3), (uint32_t)scale(r, now));
}
