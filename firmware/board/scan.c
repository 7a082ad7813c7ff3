#include "hal.h"
#include "kwb_inner.h"

#include "../core/kw_inner.h"

/*
 * How contacts get into the row of raw bits. A raw bit is 1 while its contact is closed. Pins are resolved once; a look reads all
 * direct pins from one snapshot, and the matrix row by row.
 */
static uint8_t raw[KW_MAX_RAW / 8 + 1]; /* one more: the matrix's look may stand behind the last */

static struct direct {
	struct hal_pin pin;
	uint8_t at, mask; /* of its raw bit */
	bool often;
} direct[KWB_MAX_DIRECT];
static uint8_t directs;

static struct {
	struct hal_pin row[KWB_MAX_LINES], column[KWB_MAX_LINES];
	uint8_t rows, columns, base, settle;
} matrix;

static struct {
	struct hal_pin load, clock, data;
	uint8_t base, bits, next;
	bool inverted;
} chain[KWB_MAX_CHAINS];
static uint8_t chains;
enum { AT_ONCE = 32 };
static uint8_t chain_rounds; /* how often all have been read; stops at 255 */

static struct {
	struct hal_pin pin;
	uint8_t lamp;
	bool low;
} lamp[KW_MAX_LAMPS];
static uint8_t lamps;
bool kwb_dark;

static void put_at(uint8_t at, uint8_t mask, bool on)
{
	if (on)
		raw[at] |= mask;
	else
		raw[at] &= (uint8_t)~mask;
}

const uint8_t *kwb_raw(void) { return raw; }

static void input(uint8_t pin, bool up) { hal_mode(pin, up ? HAL_PULLUP : HAL_FLOAT); }

static void begin_direct(void)
{
	const uint8_t *r;
	uint8_t stride;

	directs = kwb_records(KWB_S_DIRECT, &r, &stride);
	for (uint8_t i = 0; i < directs; i++, r += stride) {
		input(KW_ROM8(r + 1), KW_ROM8(r + 2) & 1);
		direct[i].pin = hal_resolve(KW_ROM8(r + 1));
		direct[i].at = KW_ROM8(r) >> 3;
		direct[i].mask = kw_mask(KW_ROM8(r) & 7);
		direct[i].often = (KW_ROM8(r + 2) & 2) != 0;
	}
}

static void begin_matrix(void)
{
	const uint8_t *r;
	uint8_t stride;

	matrix.rows = matrix.columns = 0;
	if (kwb_records(KWB_S_MATRIX, &r, &stride) == 0)
		return;
	matrix.base = KW_ROM8(r);
	matrix.settle = KW_ROM8(r + 3);
	matrix.rows = kwb_records(KWB_S_ROWS, &r, &stride);
	for (uint8_t i = 0; i < matrix.rows; i++, r += stride) {
		hal_mode(KW_ROM8(r), HAL_FLOAT);
		matrix.row[i] = hal_resolve(KW_ROM8(r));
	}
	matrix.columns = kwb_records(KWB_S_COLUMNS, &r, &stride);
	for (uint8_t i = 0; i < matrix.columns; i++, r += stride) {
		input(KW_ROM8(r), true);
		matrix.column[i] = hal_resolve(KW_ROM8(r));
	}
}

static void begin_chains(void)
{
	const uint8_t *r;
	uint8_t stride;

	chain_rounds = 0;
	chains = kwb_records(KWB_S_CHAINS, &r, &stride);
	for (uint8_t i = 0; i < chains; i++, r += stride) {
		chain[i].base = KW_ROM8(r);
		chain[i].bits = KW_ROM8(r + 1);
		hal_mode(KW_ROM8(r + 2), HAL_HIGH);
		hal_mode(KW_ROM8(r + 3), HAL_LOW);
		input(KW_ROM8(r + 4), false);
		chain[i].load = hal_resolve(KW_ROM8(r + 2));
		chain[i].clock = hal_resolve(KW_ROM8(r + 3));
		chain[i].data = hal_resolve(KW_ROM8(r + 4));
		chain[i].inverted = (KW_ROM8(r + 5) & 1) != 0;
		chain[i].next = 0;
	}
}

static void begin_lamps(void)
{
	const uint8_t *r;
	uint8_t stride;

	lamps = kwb_records(KWB_S_LAMPS, &r, &stride);
	for (uint8_t i = 0; i < lamps; i++, r += stride) {
		lamp[i].low = (KW_ROM8(r + 2) & 1) != 0;
		hal_mode(KW_ROM8(r), lamp[i].low ? HAL_HIGH : HAL_LOW);
		lamp[i].pin = hal_resolve(KW_ROM8(r));
		lamp[i].lamp = KW_ROM8(r + 1);
	}
}

void kwb_scan_begin(void)
{
	for (uint8_t i = 0; i < sizeof raw; i++)
		raw[i] = 0;
	begin_direct();
	begin_matrix();
	begin_chains();
	begin_lamps();
	kwb_bus_begin();
	kwb_analog_begin();
}

/* Up to 32 bits of a shift-in chain: load low takes the inputs in, each clock brings the next one. */
static void shift(uint8_t i)
{
	const struct hal_pin clock = chain[i].clock, data = chain[i].data;
	const bool inverted = chain[i].inverted;
	const uint8_t first = (uint8_t)(chain[i].base + chain[i].next);
	uint8_t left = (uint8_t)(chain[i].bits - chain[i].next);
	uint8_t *to = raw + (first >> 3);
	uint8_t mask = kw_mask(first & 7), bits = *to;

	if (chain[i].next == 0) {
		hal_set(chain[i].load, false);
		HAL_PAUSE();
		hal_set(chain[i].load, true);
		HAL_PAUSE();
	}
	if (left > AT_ONCE)
		left = AT_ONCE;
	chain[i].next = (uint8_t)(chain[i].next + left);
	for (; left > 0; left--) {
		if (hal_now(data) == inverted)
			bits |= mask;
		else
			bits &= (uint8_t)~mask;
		hal_set(clock, true);
		mask = (uint8_t)(mask << 1);
		if (mask == 0) {
			mask = 1;
			*to++ = bits;
			bits = *to;
		}
		HAL_PAUSE();
		hal_set(clock, false);
	}
	*to = bits;
	if (chain[i].next >= chain[i].bits)
		chain[i].next = 0;
}

static void chain_slice(void)
{
	static uint8_t which;

	if (which >= chains)
		which = 0;
	shift(which);
	if (chain[which].next != 0 || ++which < chains)
		return;
	if (chain_rounds < 255)
		chain_rounds++;
}

/* The chip that this is for has no time to spare: pointers, and a byte of the matrix at a time. */
void kwb_look(void)
{
	uint8_t *to = raw + (matrix.base >> 3);
	uint8_t mask = kw_mask(matrix.base & 7), bits;

	hal_snapshot();
	for (const struct direct *d = direct; d < direct + directs; d++)
		if (!d->often)
			put_at(d->at, d->mask, !hal_seen(d->pin));
	if (chains > 0)
		chain_slice();
	if (matrix.rows == 0)
		return;
	bits = *to;
	for (uint8_t r = 0; r < matrix.rows; r++) {
		const struct hal_pin *column = matrix.column;

		hal_drive(matrix.row[r], true);
		hal_settle(matrix.settle);
		hal_snapshot();
		hal_drive(matrix.row[r], false);
		for (uint8_t c = matrix.columns; c > 0; c--, column++) {
			if (hal_seen(*column))
				bits &= (uint8_t)~mask;
			else
				bits |= mask;
			mask = (uint8_t)(mask << 1);
			if (mask == 0) {
				mask = 1;
				*to++ = bits;
				bits = *to;
			}
		}
	}
	*to = bits;
}

void kwb_encoders(void)
{
	hal_snapshot();
	kwb_sampled();
}

void kwb_sampled(void)
{
	for (const struct direct *d = direct; d < direct + directs; d++)
		if (d->often)
			put_at(d->at, d->mask, !hal_seen(d->pin));
	kw_sample(raw);
}

/* A voltage that is ready, or else the next byte on the bus; two voltages never come one after the other. */
void kwb_slice(void)
{
	static bool voltage;

	voltage = !voltage && kwb_analog_slice(raw);
	if (voltage)
		return;
	kwb_bus_slice(raw);
}

bool kwb_seen_all(void) { return (chains == 0 || chain_rounds > 0) && kwb_bus_seen() && kwb_analog_seen(); }

static void show(uint8_t i) { hal_set(lamp[i].pin, (!kwb_dark && kw_lamp(lamp[i].lamp)) != lamp[i].low); }

void kwb_show(void)
{
	for (uint8_t i = 0; i < lamps; i++)
		show(i);
}

void kwb_show_next(void)
{
	static uint8_t turn;

	if (++turn >= lamps)
		turn = 0;
	if (lamps > 0)
		show(turn);
}
