#include "hal.h"
#include "kwb_inner.h"

#include "../core/kw_inner.h"

/* Voltages: pots, directly or through multiplexers, and ladders of contacts. One reading runs at a time; each slice looks whether it is
 * ready and starts the next. After a multiplexer has moved, the first reading is thrown away: the input has to charge. */
static struct {
	uint8_t axis, channel, mux, line;
} job[KWB_MAX_ANALOG];
static uint8_t jobs, ladders;

static struct {
	uint8_t channel, base, steps;
	const uint8_t *limit; /* of its first step, in the table */
	uint8_t stride, is, was;
} ladder[4];

static struct {
	struct hal_pin select[3];
	uint8_t selects, channel;
} mux[KWB_MAX_MUXES];

static uint8_t rounds; /* how often all have been read; stops at 255 */
static uint8_t now;   /* which job or ladder is being read */
static bool running, spoilt;

void kwb_analog_begin(void)
{
	const uint8_t *r, *steps;
	uint8_t stride, n, step_stride;

	now = rounds = 0;
	running = false;
	n = kwb_records(KWB_S_MUXES, &r, &stride);
	for (uint8_t i = 0; i < n; i++, r += stride) {
		mux[i].channel = KW_ROM8(r);
		mux[i].selects = 0;
		for (uint8_t k = 0; k < 3; k++)
			if (KW_ROM8(r + 1 + k) != KW_NO) {
				hal_mode(KW_ROM8(r + 1 + k), HAL_LOW);
				mux[i].select[mux[i].selects++] = hal_resolve(KW_ROM8(r + 1 + k));
			}
	}
	jobs = kwb_records(KWB_S_ANALOG, &r, &stride);
	for (uint8_t i = 0; i < jobs; i++, r += stride) {
		job[i].axis = KW_ROM8(r);
		job[i].mux = KW_ROM8(r + 2);
		job[i].line = KW_ROM8(r + 3);
		job[i].channel = job[i].mux == KW_NO ? KW_ROM8(r + 1) : mux[job[i].mux].channel;
	}
	ladders = kwb_records(KWB_S_LADDERS, &r, &stride);
	kwb_records(KWB_S_STEPS, &steps, &step_stride);
	for (uint8_t i = 0; i < ladders; i++, r += stride) {
		ladder[i].channel = KW_ROM8(r);
		ladder[i].base = KW_ROM8(r + 1);
		ladder[i].steps = KW_ROM8(r + 2);
		ladder[i].limit = steps + (uint16_t)KW_ROM8(r + 3) * step_stride;
		ladder[i].stride = step_stride;
		ladder[i].is = ladder[i].was = KW_NO;
	}
}

/* A ladder's reading becomes one closed contact, or none above the last step. A step counts when two readings agree. */
static void step(uint8_t i, uint16_t value, uint8_t *raw)
{
	const uint8_t *p = ladder[i].limit;
	uint8_t k = 0;

	while (k < ladder[i].steps && value > kw_rom16(p)) {
		k++;
		p += ladder[i].stride;
	}
	if (k == ladder[i].was) {
		for (uint8_t b = 0; b < ladder[i].steps; b++) {
			const uint8_t bit = (uint8_t)(ladder[i].base + b);
			const uint8_t mask = (uint8_t)(1u << (bit & 7));

			raw[bit >> 3] = (uint8_t)(b == k ? raw[bit >> 3] | mask : raw[bit >> 3] & ~mask);
		}
		ladder[i].is = k;
	}
	ladder[i].was = k;
}

static void start(void)
{
	uint8_t channel;

	if (now < jobs) {
		channel = job[now].channel;
		if (job[now].mux != KW_NO) {
			const uint8_t m = job[now].mux;

			for (uint8_t k = 0; k < mux[m].selects; k++)
				hal_set(mux[m].select[k], (job[now].line >> k & 1) != 0);
			hal_settle(2);
		}
		spoilt = job[now].mux != KW_NO;
	} else {
		channel = ladder[now - jobs].channel;
		spoilt = false;
	}
	hal_adc_start(channel);
	running = true;
}

bool kwb_analog_slice(uint8_t *raw)
{
	if ((uint8_t)(jobs + ladders) == 0)
		return false;
	if (!running) {
		start();
		return false;
	}
	if (!hal_adc_ready())
		return false;
	if (spoilt) {
		spoilt = false;
		hal_adc_start(job[now].channel);
		return false;
	}
	if (now < jobs)
		kw_reading(job[now].axis, hal_adc());
	else
		step((uint8_t)(now - jobs), hal_adc(), raw);
	now++;
	if (now >= jobs + ladders) {
		now = 0;
		if (rounds < 255)
			rounds++;
	}
	start();
	return true;
}

/* A step of a ladder counts when two readings agree. */
bool kwb_analog_seen(void) { return rounds >= 2 || (uint8_t)(jobs + ladders) == 0; }
