/*
 * The first 256 bytes of flash. The boot ROM checks their sum, copies them to memory and runs them there; they set the flash up for plain
 * serial reads (command 03h), which every flash part knows, at a quarter of the system clock. Speed does not matter: all that runs
 * later runs in memory. The checksum is written by the build.
 */
	.syntax unified
	.cpu cortex-m0plus
	.thumb
	.section .boot2, "ax"
	.global kw_boot2
	.type kw_boot2, %function
kw_boot2:
	mov	r4, lr			/* 0 from the boot ROM; an address from who wants the flash set up anew */
	ldr	r3, =0x18000000		/* the flash interface */
	movs	r1, #0
	str	r1, [r3, #0x08]		/* off */
	movs	r1, #4
	str	r1, [r3, #0x14]		/* a quarter of the system clock */
	ldr	r1, =0x001F0300		/* frames of 32 bits, one data line, send then read */
	str	r1, [r3, #0x00]
	ldr	r1, =0x03000218		/* command 03h, 8 bits of it, 24 bits of address, all on one line */
	ldr	r0, =0x180000F4
	str	r1, [r0]
	movs	r1, #0
	str	r1, [r3, #0x04]		/* one frame a read */
	movs	r1, #1
	str	r1, [r3, #0x08]		/* on */
	cmp	r4, #0
	beq	1f
	bx	r4
1:	ldr	r0, =0x10000100		/* the vectors behind this block */
	ldr	r1, =0xE000ED08
	str	r0, [r1]
	ldmia	r0!, {r1, r2}
	msr	msp, r1
	bx	r2
	.pool
