package sparse

import (
	"errors"
	"fmt"
)

var (
	// ErrShape means that sizes do not fit each other: a block number out of range, a vector of the wrong length, a matrix
	// of another pattern.
	ErrShape = errors.New("sizes do not fit")
	// ErrStale means that an update failed before, so that the factor no longer holds anything.
	ErrStale = errors.New("the factor was lost in a failed update")
)

// PivotError reports that the matrix is not positive definite, or so nearly singular that nothing can be said.
type PivotError struct {
	Block  int     // the block whose elimination failed
	Within int     // which unknown of that block, from 0
	Pivot  float64 // what was left of the diagonal
	Scale  float64 // what stood on the diagonal at first
}

func (e *PivotError) Error() string {
	return fmt.Sprintf("not positive definite: pivot %.3g of %.3g at block %d, unknown %d", e.Pivot, e.Scale, e.Block, e.Within)
}
