package plate

import "slices"

// sameCell reports whether cell c holds the same of the sheet as in an earlier plate on the same grid.
func (p *Plate) sameCell(old *Plate, c int, near []int32) bool {
	if !slices.Equal(near, old.cells[c].near) {
		return false
	}
	for _, k := range near {
		if p.openings[k] != old.openings[k] {
			return false
		}
	}
	return true
}
