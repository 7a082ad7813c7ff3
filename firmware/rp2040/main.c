#include "run.h"

#include "chip.h"
#include "hal.h"
#include "kwb.h"

#include "memory.h"

/*
 * The main loop. Once a tick: contacts, the core, lamps, reports. Between ticks: the bus, and pieces of what takes long. Otherwise the
 * processor sleeps. Encoders' pins are looked at by a timer, ten thousand times a second, whatever else goes on: 1000 detents of four
 * edges make an edge each 250 us, and edges are not evenly spaced. What has moved waits in a ring until the loop comes round.
 */
enum { SAMPLE_US = 100, RING = 64, SLICES = 12, SLICE_US = 60, WATCHDOG_US = 500000, ASLEEP_US = 2000 };

static uint8_t table[TABLE_ROOM];

static volatile struct {
	uint32_t mask, last;
	uint32_t at[RING];
	uint8_t head, tail;
	uint32_t next;
} ring;

static struct {
	uint32_t period, next, ms;
	uint8_t slices;
	bool slow; /* there is something to be done in slices */
	bool owed; /* a slice between two ticks, however short the time */
} loop;

bool kw_clock_is_low;

/* The glitchless multiplexer of the system's clock: the reference, which is the crystal, or its PLL. Source: RP2040 data sheet, 2.15, 2.18. */
enum { PLL_POWER = 4, POWER_DOWN = 1 << 0, DIVIDERS_OFF = 1 << 3, OSCILLATOR_OFF = 1 << 5 };

void kw_clock_low(void)
{
	if (kw_clock_is_low)
		return;
	CLEAR(CLOCKS_SYS_CTRL) = 1;
	while (REG(CLOCKS_SYS_SELECTED) != 1)
		;
	SET(PLL_SYS + PLL_POWER) = POWER_DOWN | DIVIDERS_OFF | OSCILLATOR_OFF;
	kw_clock_is_low = true;
}

void kw_clock_full(void)
{
	if (!kw_clock_is_low)
		return;
	CLEAR(PLL_SYS + PLL_POWER) = POWER_DOWN | OSCILLATOR_OFF;
	while (!(REG(PLL_SYS) & 1u << 31))
		;
	CLEAR(PLL_SYS + PLL_POWER) = DIVIDERS_OFF;
	SET(CLOCKS_SYS_CTRL) = 1;
	while (REG(CLOCKS_SYS_SELECTED) != 1u << 1)
		;
	kw_clock_is_low = false;
}

/* For the rig, at a place that it knows: cycles of the last tick, of the longest, of all together, and their number. */
__attribute__((section(".counters"), used)) static volatile uint32_t counters[4];

static uint32_t now(void) { return REG(TIMER_NOW); }
static bool past(uint32_t t) { return (int32_t)(now() - t) >= 0; }

/* An alarm that is set too late comes after 71 minutes. */
static void sample_at(uint32_t t)
{
	ring.next = t;
	if ((int32_t)(t - now()) < 3)
		ring.next = now() + 3;
	REG(TIMER_ALARM0) = ring.next;
}

void kw_on_sample(void)
{
	const uint32_t pins = REG(SIO_IN) & ring.mask;

	REG(TIMER_INTR) = 1 << 0;
	if (pins != ring.last) {
		const uint8_t next = (uint8_t)((ring.head + 1) % RING);

		if (next != ring.tail) {
			ring.at[ring.head] = pins;
			ring.head = next;
			ring.last = pins;
		}
	}
	sample_at(ring.next + SAMPLE_US);
}

void kw_on_alarm(void) { REG(TIMER_INTR) = 1 << 1; }

static void begin_ring(void)
{
	const uint8_t *r;
	uint8_t stride;
	uint8_t count = kwb_records(KWB_S_DIRECT, &r, &stride);

	ring.mask = 0;
	for (; count > 0; count--, r += stride)
		if (r[2] & 2)
			ring.mask |= 1u << r[1];
	ring.last = REG(SIO_IN) & ring.mask;
	hal_pins = ring.last;
	if (ring.mask == 0)
		return;
	sample_at(now() + SAMPLE_US);
	REG(NVIC_ON) = 1u << IRQ_TIMER0;
}

/* All that has moved, one after the other. */
static void encoders(void)
{
	while (ring.tail != ring.head) {
		hal_pins = ring.at[ring.tail];
		ring.tail = (uint8_t)((ring.tail + 1) % RING);
		kwb_sampled();
	}
}

static void tick(void)
{
	const uint32_t begin = REG(SYST_CVR);
	uint32_t last, cycles;

	encoders();
	last = hal_pins; /* the look at the other pins is later than the last sample, and must not be put before the next */
	kwb_look();
	hal_pins = last;
	kwb_sampled();
	kw_tick(kwb_raw());
	kwb_show();
	kw_usb_fill();
	cycles = (begin - REG(SYST_CVR)) & 0xFFFFFF;
	counters[0] = cycles;
	counters[1] = cycles > counters[1] ? cycles : counters[1];
	counters[2] += cycles;
	counters[3]++;
}

static void ms(void)
{
	loop.ms += 1000;
	if (past(loop.ms + 100000)) /* after a long pause, not all of it at once */
		loop.ms = now();
	kwb_ms();
	kw_usb_ms();
}

/* Into the boot loader: the boot ROM's table of functions has it under "UB". Source: RP2040 data sheet, 2.8.3. */
static void to_loader(void)
{
	typedef void *lookup(uint16_t *list, uint32_t code);
	typedef void reboot(uint32_t lamp, uint32_t without);
	uint16_t *const list = (uint16_t *)(uintptr_t)*(volatile uint16_t *)0x14;
	lookup *const find = (lookup *)(uintptr_t)*(volatile uint16_t *)0x18;
	reboot *const go = (reboot *)find(list, 'U' | 'B' << 8);

	if (go)
		go(0, 0);
}

static void command(void)
{
	const uint8_t what = kw_usb_command();

	if (what == KWB_NOTHING)
		return;
	kw_usb_end();
	for (uint8_t i = 0; i < 100; i++) /* the host should see it go: 25 ms */
		hal_settle(250);
	__asm volatile("cpsid i");
	if (what == KWB_TO_LOADER)
		to_loader();
	REG(WATCHDOG_CTRL) = WATCHDOG_TRIGGER;
	for (;;)
		;
}

static void doze(void)
{
	__asm volatile("cpsid i"); /* an interrupt that comes from here on ends the sleep before it begins */
	REG(TIMER_ALARM1) = loop.next;
	if (!past(loop.next) && ring.head == ring.tail && !kw_usb_waiting())
		__asm volatile("wfi");
	__asm volatile("cpsie i");
}

void kw_main(void)
{
	uint8_t stride;
	const uint8_t *r;

	REG(SYST_RVR) = 0xFFFFFF;
	REG(SYST_CVR) = 0;
	REG(SYST_CSR) = 1 << 2 | 1 << 0;
	counters[0] = counters[1] = counters[2] = counters[3] = 0;
	memcpy(table, (const void *)(uintptr_t)TABLE_ADDRESS, sizeof table);
	loop.period = kwb_begin(table, sizeof table) == KW_OK ? kw_tick_us() : 1000;
	loop.slow = kwb_records(KWB_S_CHAINS, &r, &stride) + kwb_records(KWB_S_EXPANDERS, &r, &stride) + kwb_records(KWB_S_ANALOG, &r, &stride) +
	                    kwb_records(KWB_S_LADDERS, &r, &stride) >
	            0;
	REG(TIMER_INTE) = 1 << 1 | 1 << 0;
	begin_ring();
	REG(NVIC_ON) = 1u << IRQ_TIMER1;
	kw_usb_begin();

	/* The watchdog counts twice a microsecond (erratum RP2040-E1), and resets all but the oscillators. */
	REG(PSM_WDSEL) = 0x1FFFC;
	REG(WATCHDOG_LOAD) = 2 * WATCHDOG_US;
	SET(WATCHDOG_CTRL) = WATCHDOG_ENABLE;

	loop.next = loop.ms = now();
	for (;;) {
		REG(WATCHDOG_LOAD) = 2 * WATCHDOG_US;
		if (kw_usb_waiting()) {
			kw_usb_serve();
			command();
		}
		encoders();
		if (past(loop.next) && !loop.owed) {
			const uint32_t period = kw_clock_is_low ? ASLEEP_US : loop.period;

			loop.next += period;
			if (past(loop.next)) { /* a whole tick late */
				if (!kw_clock_is_low)
					kwb_overruns++;
				loop.next = now() + period;
			}
			loop.slices = loop.slow ? SLICES : 0;
			loop.owed = loop.slow;
			tick();
			while (past(loop.ms))
				ms();
		} else if (loop.slices > 0 && (loop.owed || !past(loop.next - SLICE_US))) {
			loop.owed = false;
			loop.slices--;
			kwb_slice();
		} else {
			doze();
		}
	}
}
