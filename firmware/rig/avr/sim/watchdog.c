/* The watchdog. See rig.h. */
#include "rig.h"

#include <avr_watchdog.h>

/*
 * From the data sheet: 2048 clocks of 128 kHz and their doubles; WDE is cleared and the time is changed only within four cycles after WDCE
 * and WDE were written together; as an interrupt first, where that is on; and after a reset of its own it stays on.
 */
enum { WDTCSR_ = 0x60, MCUSR_ = 0x54, WDIF = 0x80, WDIE = 0x40, WDCE = 0x10, WDE = 0x08, PRESCALER = 0x27, WDRF = 0x08 };

static uint64_t out_at, open_until;
static bool by_itself;
static int restarts;
static avr_int_vector_t vector = {.vector = 12};

static bool on(void) { return (avr->data[WDTCSR_] & (WDE | WDIE)) != 0; }

static void begin(void)
{
	const uint8_t v = avr->data[WDTCSR_];
	const int p = (v & 7) | (v >> 2 & 8);

	out_at = avr->cycle + rig_cycles(16000.0 * (1 << p));
}

static void write(avr_t *a, avr_io_addr_t address, uint8_t v, void *param)
{
	const uint8_t was = a->data[address];
	const bool open = a->cycle <= open_until;
	uint8_t now = (uint8_t)((was & (WDIF & (uint8_t)~v)) | (v & WDIE));

	(void)param;
	if (a->data[MCUSR_] & WDRF) /* as long as this stands it cannot be switched off */
		now |= WDE;
	if ((v & (WDCE | WDE)) == (WDCE | WDE)) {
		open_until = a->cycle + 4;
		a->data[address] = (uint8_t)((was & (PRESCALER | WDIF)) | WDE | (v & WDIE));
		return;
	}
	if (open)
		now |= v & (PRESCALER | WDE);
	else if ((v & PRESCALER) != (was & PRESCALER) || (was & WDE && !(v & WDE)))
		rig_lint("the watchdog is changed without its sequence"), now |= was & (PRESCALER | WDE);
	else
		now |= (was & PRESCALER) | ((was | v) & WDE);
	if (!open || (v & PRESCALER) != (was & PRESCALER) || !(was & (WDE | WDIE)))
		a->data[address] = now, begin();
	a->data[address] = now;
	open_until = 0;
}

/* The instruction WDR. */
int watchdog_ioctl(struct avr_io_t *io, uint32_t ctl, void *param)
{
	(void)io;
	(void)param;
	if (ctl != AVR_IOCTL_WATCHDOG_RESET)
		return -1;
	begin();
	return 0;
}

void watchdog_hook(void) { rig_hook(WDTCSR_, NULL, write); }

void watchdog_reset(void)
{
	vector.pending = 0;
	open_until = 0;
	if (by_itself) {
		avr->data[MCUSR_] = WDRF;
		avr->data[WDTCSR_] = WDE;
	}
	by_itself = false;
	begin();
}

bool watchdog_on(void) { return on(); }
int watchdog_restarts(void) { return restarts; }
void watchdog_forget(void) { restarts = 0; }

void watchdog_passed(void)
{
	const uint8_t v = avr->data[WDTCSR_];

	if (on() && avr->cycle >= out_at) {
		begin();
		if (v & WDIE) {
			avr->data[WDTCSR_] = (uint8_t)(v | WDIF) & (uint8_t)~(v & WDE ? WDIE : 0);
		} else if (v & WDE) {
			restarts++;
			by_itself = true;
			avr_reset(avr);
			return;
		}
	}
	if ((avr->data[WDTCSR_] & (WDIF | WDIE)) == (WDIF | WDIE) && avr->sreg[S_I] && !vector.pending) {
		vector.enable = (avr_regbit_t){.reg = WDTCSR_, .bit = 6, .mask = 1};
		vector.raised = (avr_regbit_t){.reg = WDTCSR_, .bit = 7, .mask = 1};
		avr_raise_interrupt(avr, &vector);
	}
}
