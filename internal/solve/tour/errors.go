package tour

import (
	"errors"
	"fmt"
)

var (
	// ErrItem means that an item number is out of range.
	ErrItem = errors.New("no such item")
	// ErrTwice means that an item is listed twice, so that it cannot be visited once.
	ErrTwice = errors.New("item listed twice")
	// ErrEnds means that no walk can begin or end as asked.
	ErrEnds = errors.New("the walk cannot begin and end there")
)

func itemError(i int) error  { return fmt.Errorf("%w: %d", ErrItem, i) }
func twiceError(i int) error { return fmt.Errorf("%w: %d", ErrTwice, i) }

// CostError reports a cost that is no number, infinite, negative or above [MaxCost].
type CostError struct {
	I, J int // items
	Cost float64
}

func (e *CostError) Error() string {
	return fmt.Sprintf("cost %g between items %d and %d; a number from 0 to %g is wanted", e.Cost, e.I, e.J, float64(MaxCost))
}
