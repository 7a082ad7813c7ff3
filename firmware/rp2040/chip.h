/* The registers that are used. Source: RP2040 data sheet. */
#ifndef CHIP_H
#define CHIP_H

#include <stdint.h>

#define REG(address) (*(volatile uint32_t *)(uintptr_t)(address))

/* The same register once more: writes set, or clear, the bits that are 1. */
#define SET(address) REG((address) + 0x2000u)
#define CLEAR(address) REG((address) + 0x3000u)

/* 2.14 resets */
#define RESETS_RESET 0x4000C000u
#define RESETS_DONE 0x4000C008u
enum {
	RESET_ADC = 1 << 0,
	RESET_IO_BANK0 = 1 << 5,
	RESET_PADS_BANK0 = 1 << 8,
	RESET_PLL_SYS = 1 << 12,
	RESET_PLL_USB = 1 << 13,
	RESET_TIMER = 1 << 21,
	RESET_USB = 1 << 24,
	/* all but the bus, the flash's pins, the debugger, the PLLs and the system's own */
	RESET_MOST = 0x01FFFFFF & ~(1 << 1 | 1 << 6 | 1 << 7 | 1 << 9 | RESET_PLL_SYS | RESET_PLL_USB | 1 << 18 | 1 << 19 | 1 << 20),
};

/* 2.13 power-on state machine */
#define PSM_WDSEL 0x40010008u

/* 2.15 clocks, 2.16 crystal oscillator, 2.18 PLLs */
#define CLOCKS_REF_CTRL 0x40008030u
#define CLOCKS_REF_DIV 0x40008034u
#define CLOCKS_REF_SELECTED 0x40008038u
#define CLOCKS_SYS_CTRL 0x4000803Cu
#define CLOCKS_SYS_DIV 0x40008040u
#define CLOCKS_SYS_SELECTED 0x40008044u
#define CLOCKS_USB_CTRL 0x40008054u
#define CLOCKS_USB_DIV 0x40008058u
#define CLOCKS_ADC_CTRL 0x40008060u
#define CLOCKS_ADC_DIV 0x40008064u
#define CLOCKS_RESUS_CTRL 0x40008078u
#define XOSC_CTRL 0x40024000u
#define XOSC_STATUS 0x40024004u
#define XOSC_STARTUP 0x4002400Cu
#define PLL_SYS 0x40028000u
#define PLL_USB 0x4002C000u

/* 2.19 pins */
#define IO_CTRL(pin) (0x40014004u + 8u * (pin))
#define PAD(pin) (0x4001C004u + 4u * (pin))
enum {
	IO_SIO = 5,
	PAD_SCHMITT = 1 << 1,
	PAD_PULLUP = 1 << 3,
	PAD_4MA = 1 << 4,
	PAD_INPUT = 1 << 6,
	PAD_NO_OUTPUT = 1 << 7,
};

/* 2.3.1 single-cycle pins */
#define SIO_IN 0xD0000004u
#define SIO_OUT_SET 0xD0000014u
#define SIO_OUT_CLEAR 0xD0000018u
#define SIO_OE_SET 0xD0000024u
#define SIO_OE_CLEAR 0xD0000028u

/* 4.6 timer, 4.7 watchdog */
#define TIMER_ALARM0 0x40054010u
#define TIMER_ALARM1 0x40054014u
#define TIMER_NOW 0x40054028u
#define TIMER_INTR 0x40054034u
#define TIMER_INTE 0x40054038u
#define WATCHDOG_CTRL 0x40058000u
#define WATCHDOG_LOAD 0x40058004u
#define WATCHDOG_TICK 0x4005802Cu
#define WATCHDOG_TRIGGER 0x80000000u
#define WATCHDOG_ENABLE 0x40000000u

/* 4.9 converter */
#define ADC_CS 0x4004C000u
#define ADC_RESULT 0x4004C004u
enum { ADC_ON = 1 << 0, ADC_START = 1 << 2, ADC_READY = 1 << 8 };

/* The processor's own: ARMv6-M, chapter B3 */
#define SYST_CSR 0xE000E010u
#define SYST_RVR 0xE000E014u
#define SYST_CVR 0xE000E018u
#define NVIC_ON 0xE000E100u
#define NVIC_OFF 0xE000E180u
#define VTOR 0xE000ED08u
enum { IRQ_TIMER0 = 0, IRQ_TIMER1 = 1, IRQ_USB = 5 };

/* 4.1 USB */
#define USB_RAM 0x50100000u
#define USB_ADDRESS 0x50110000u
#define USB_MAIN_CTRL 0x50110040u
#define USB_SOF 0x50110048u
#define USB_SIE_CTRL 0x5011004Cu
#define USB_SIE_STATUS 0x50110050u
#define USB_BUFF_STATUS 0x50110058u
#define USB_ABORT 0x50110060u
#define USB_ABORT_DONE 0x50110064u
#define USB_STALL_ARM 0x50110068u
#define USB_MUXING 0x50110074u
#define USB_PWR 0x50110078u
#define USB_INTE 0x50110090u
#define USB_INTS 0x50110098u

#endif
