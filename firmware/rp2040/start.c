#include "chip.h"

#include "hal_chip.h"
#include "info.h"
#include "run.h"

/*
 * From power-up to main: clocks, then the core is brought to memory. What stands here runs in flash, slowly, and once. The rest runs in
 * memory: no reading of flash, of whatever make, delays it.
 */
#define IN_FLASH __attribute__((section(".start")))

extern uint32_t kw_run[], kw_run_end[], kw_run_from[], kw_bss[], kw_bss_end[], kw_stack_top[];

IN_FLASH static void unreset(uint32_t which)
{
	CLEAR(RESETS_RESET) = which;
	while ((REG(RESETS_DONE) & which) != which)
		;
}

/* 12 MHz times feedback, through two dividers. */
IN_FLASH static void pll(uint32_t at, uint32_t reset, uint32_t feedback, uint32_t first, uint32_t second)
{
	SET(RESETS_RESET) = reset;
	unreset(reset);
	REG(at) = 1;
	REG(at + 8) = feedback;
	CLEAR(at + 4) = 1u << 0 | 1u << 5; /* power, oscillator */
	while (!(REG(at) & 1u << 31))
		;
	REG(at + 12) = first << 16 | second << 12;
	CLEAR(at + 4) = 1u << 3; /* dividers */
}

IN_FLASH static void clocks(void)
{
	SET(RESETS_RESET) = RESET_MOST;
	unreset(RESET_IO_BANK0 | RESET_PADS_BANK0);
	REG(CLOCKS_RESUS_CTRL) = 0;

	REG(XOSC_CTRL) = 0xAA0;       /* 1 to 15 MHz */
	REG(XOSC_STARTUP) = 47 * 6;   /* 6 ms: crystals of small modules take longer than one */
	SET(XOSC_CTRL) = 0xFABu << 12;
	while (!(REG(XOSC_STATUS) & 1u << 31))
		;
	CLEAR(CLOCKS_SYS_CTRL) = 1; /* away from the PLLs before they are reset */
	while (REG(CLOCKS_SYS_SELECTED) != 1)
		;
	CLEAR(CLOCKS_REF_CTRL) = 3;
	while (REG(CLOCKS_REF_SELECTED) != 1)
		;
	pll(PLL_SYS, RESET_PLL_SYS, 125, 6, 2); /* 1500 MHz / 12 */
	pll(PLL_USB, RESET_PLL_USB, 100, 5, 5); /* 1200 MHz / 25 */

	REG(CLOCKS_REF_DIV) = 1u << 8;
	REG(CLOCKS_REF_CTRL) = 2; /* crystal */
	while (REG(CLOCKS_REF_SELECTED) != 1u << 2)
		;
	REG(CLOCKS_SYS_DIV) = 1u << 8;
	REG(CLOCKS_SYS_CTRL) = 0; /* the first PLL is the other source... */
	SET(CLOCKS_SYS_CTRL) = 1; /* ...and taken */
	while (REG(CLOCKS_SYS_SELECTED) != 1u << 1)
		;
	for (uint32_t c = CLOCKS_USB_CTRL; c <= CLOCKS_ADC_CTRL; c += CLOCKS_ADC_CTRL - CLOCKS_USB_CTRL) {
		CLEAR(c) = 1u << 11; /* off, and for some cycles of 48 MHz before it is changed */
		for (uint32_t i = 0; i < 20; i++)
			__asm volatile("nop");
		REG(c + 4) = 1u << 8;
		REG(c) = 0; /* the second PLL */
		SET(c) = 1u << 11;
	}
	REG(WATCHDOG_TICK) = 1u << 9 | 12; /* a microsecond of the crystal, for timer and watchdog */
	unreset(RESET_TIMER | RESET_ADC);
}

IN_FLASH __attribute__((noreturn)) void kw_start(void)
{
	const uint32_t *from = kw_run_from;

	clocks();
	for (uint32_t *to = kw_run; to < kw_run_end;)
		*to++ = *from++;
	for (uint32_t *to = kw_bss; to < kw_bss_end;)
		*to++ = 0;
	REG(VTOR) = (uint32_t)(uintptr_t)kw_run;
	__asm volatile("bx %0" ::"r"(kw_main)); /* too far away for a branch */
	__builtin_unreachable();
}

/* Something went so wrong that the processor stopped: begin anew. */
static void fault(void)
{
	REG(WATCHDOG_CTRL) = WATCHDOG_TRIGGER;
	for (;;)
		;
}

static void nothing(void) {}

typedef void handler(void);

/* What the boot block finds. A fault in flash waits for the boot button. */
__attribute__((section(".vectors"), used)) static const uintptr_t at_boot[] = {(uintptr_t)kw_stack_top, (uintptr_t)kw_start};

__attribute__((section(".ram_vectors"), used, aligned(256))) static handler *const vectors[16 + 26] = {
	(handler *)kw_stack_top, (handler *)kw_start, fault, fault, [4 ... 15] = nothing,
	[16 + IRQ_TIMER0] = kw_on_sample, [16 + IRQ_TIMER1] = kw_on_alarm, [16 + 2 ... 16 + 4] = nothing,
	[16 + IRQ_USB] = kw_on_usb, [16 + 6 ... 16 + 25] = nothing,
};

__attribute__((section(".info"), used)) static const uint8_t info[KWB_INFO_LENGTH] =
	KWB_INFO(KW_CHIP_RP2040, 0x10000000u, 0x1000F000u, TABLE_ADDRESS, TABLE_ROOM, HAL_PINS, 0u, HAL_CHANNELS);
