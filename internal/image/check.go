package image

import (
	"fmt"
	"sort"
)

// Target is the chip that a UF2 file is meant for.
type Target struct {
	Family Family
	Sector int    // bytes erased at once
	Lo, Hi uint32 // first and last address of its flash
}

// FlashRP2040 is the RP2040 with the largest flash it can address: 16 MiB from 0x10000000, erased by 4096 bytes. Source: RP2040
// datasheet, 2.6.3 and 2.8.3.
var FlashRP2040 = Target{Family: RP2040, Sector: 4096, Lo: 0x10000000, Hi: 0x10FFFFFF}

// Problem is something that keeps a file from being loaded, or from being loaded as it is meant.
type Problem struct {
	Block int // place in the file, from 0; -1 for the file as a whole
	Text  string
}

// String gives place and text.
func (p Problem) String() string {
	if p.Block < 0 {
		return p.Text
	}
	return fmt.Sprintf("block %d of the file: %s", p.Block, p.Text)
}

// Check tells what is wrong with a file for a chip: blocks for other chips or for none, for other memory, crooked addresses, numbers
// missing, double or wrong, overlaps, and groups of blocks that share block numbers' sectors (see WriteUF2). No problem, no entry.
// Comments (blocks not for the main flash) are passed over.
func (u UF2) Check(t Target) []Problem {
	c := checker{target: t}
	for i, b := range u.Blocks {
		c.block(i, b)
	}
	if len(c.kept) == 0 {
		c.say(-1, "the file has no block for %s", t.Family)
		return c.problems
	}
	c.numbers(u)
	c.overlaps(u)
	c.sectors(u)
	sort.SliceStable(c.problems, func(i, k int) bool { return c.problems[i].Block < c.problems[k].Block })
	return c.problems
}

type checker struct {
	target   Target
	kept     []int // places of the blocks for the chip's flash
	problems []Problem
}

func (c *checker) say(block int, format string, args ...any) {
	c.problems = append(c.problems, Problem{block, fmt.Sprintf(format, args...)})
}

// block judges one block by itself.
func (c *checker) block(i int, b Block) {
	t := c.target
	switch {
	case b.Flags&FileContainer != 0:
		c.say(i, "it is part of a file for a file system, not of a chip's memory")
		return
	case b.Flags&NotMainFlash != 0:
		return
	case b.Flags&HasFamily == 0:
		c.say(i, "it does not say what chip it is for; %s is wanted", t.Family)
		return
	case b.Family != t.Family:
		c.say(i, "it is for %s, not for %s", b.Family, t.Family)
		return
	}
	c.kept = append(c.kept, i)
	switch n := len(b.Data); {
	case n == 0:
		c.say(i, "it carries no bytes")
		return
	case n != Payload:
		c.say(i, "it carries %d bytes; %d are wanted", n, Payload)
	}
	if b.Addr%Payload != 0 {
		c.say(i, "address 0x%X is not a multiple of %d", b.Addr, Payload)
	}
	if b.Addr < t.Lo || uint64(b.Addr)+uint64(len(b.Data)) > uint64(t.Hi)+1 {
		c.say(i, "0x%X to 0x%X is outside the flash, 0x%X to 0x%X", b.Addr, uint64(b.Addr)+uint64(len(b.Data))-1, t.Lo, t.Hi)
	}
}

// numbers judges block numbers: each from 0 to the total once.
func (c *checker) numbers(u UF2) {
	total := u.Blocks[c.kept[0]].Total
	seen := map[uint32]int{}
	for _, i := range c.kept {
		b := u.Blocks[i]
		switch first, double := seen[b.Number]; {
		case b.Total != total:
			c.say(i, "it says that the file has %d blocks, where block %d says %d", b.Total, c.kept[0], total)
		case b.Number >= total:
			c.say(i, "number %d of %d blocks; numbers begin with 0", b.Number, total)
		case double:
			c.say(i, "number %d again; block %d of the file has it too", b.Number, first)
		default:
			seen[b.Number] = i
		}
	}
	if missing := int64(total) - int64(len(seen)); missing > 0 {
		first := uint32(0)
		for _, ok := seen[first]; ok; _, ok = seen[first] {
			first++
		}
		c.say(-1, "%d of %d blocks are missing, the first of them number %d", missing, total, first)
	}
}

// overlaps judges addresses: none written twice.
func (c *checker) overlaps(u UF2) {
	order := append([]int(nil), c.kept...)
	sort.SliceStable(order, func(i, k int) bool { return u.Blocks[order[i]].Addr < u.Blocks[order[k]].Addr })
	reach, by := uint64(0), -1
	for _, i := range order {
		b := u.Blocks[i]
		if by >= 0 && uint64(b.Addr) < reach {
			c.say(i, "it writes 0x%X, which block %d of the file writes too", b.Addr, by)
		}
		if end := uint64(b.Addr) + uint64(len(b.Data)); end > reach {
			reach, by = end, i
		}
	}
}

// sectors judges the rule of the boot ROM: all blocks of a group of numbers in one sector, and each sector in one group only.
func (c *checker) sectors(u UF2) {
	if c.target.Sector <= Payload {
		return
	}
	size, per := uint32(c.target.Sector), uint32(c.target.Sector/Payload)
	ofGroup, ofSector := map[uint32]int{}, map[uint32]int{}
	for _, i := range c.kept {
		b := u.Blocks[i]
		group, sector := b.Number/per, b.Addr/size
		if k, ok := ofGroup[group]; !ok {
			ofGroup[group] = i
		} else if u.Blocks[k].Addr/size != sector {
			c.say(i, "number %d belongs to the same group of %d as number %d, but to another sector of %d bytes; the chip would not erase it",
				b.Number, per, u.Blocks[k].Number, size)
		}
		if k, ok := ofSector[sector]; !ok {
			ofSector[sector] = i
		} else if u.Blocks[k].Number/per != group {
			c.say(i, "the sector at 0x%X is in two groups of %d numbers (%d and %d); the chip would erase it twice",
				sector*size, per, u.Blocks[k].Number, b.Number)
		}
	}
}
