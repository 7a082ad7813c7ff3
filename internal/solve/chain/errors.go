package chain

import (
	"errors"
	"fmt"
)

var (
	// ErrTerminals means that the number of terminals is negative or that of the loads differs from it.
	ErrTerminals = errors.New("the number of terminals is negative, or there is not one load for each")
	// ErrRoots means that there is no root, or one with a negative number of branches.
	ErrRoots = errors.New("there is no root for the terminals to hang on, or one with less than no branches")
	// ErrLimit means a negative capacity or degree, or a ring of terminals that take one wire only.
	ErrLimit = errors.New("capacity and degree cannot be negative, and a ring needs two wires at each terminal")
	// ErrNoRoom means that no branches take all terminals within the limits. It is proven.
	ErrNoRoom = errors.New("no branches take all terminals within the limits")
	// ErrNotFound means that no branches were found that take all terminals within the limits. There may be some.
	ErrNotFound = errors.New("no branches were found that take all terminals within the limits; there may be some")
)

// CostError reports a cost that is no number, negative, or finite and above [MaxCost].
type CostError struct {
	I, J int // nodes
	Cost float64
}

func (e *CostError) Error() string {
	return fmt.Sprintf("a wire between nodes %d and %d costs %g; a number from 0 to %g is wanted, or +Inf to forbid it",
		e.I, e.J, e.Cost, float64(MaxCost))
}

// LoadError reports a terminal whose load no branch takes, or that is negative.
type LoadError struct{ Terminal, Load, Capacity int }

func (e *LoadError) Error() string {
	if e.Load < 0 {
		return fmt.Sprintf("terminal %d has a load of %d; it cannot be negative", e.Terminal, e.Load)
	}
	return fmt.Sprintf("terminal %d has a load of %d, and a branch takes %d at most", e.Terminal, e.Load, e.Capacity)
}

// RoomError reports that all branches together take too little.
type RoomError struct{ Load, Room int }

func (e *RoomError) Error() string {
	return fmt.Sprintf("the terminals have a load of %d, and all branches together take %d: %d too little", e.Load, e.Room, e.Load-e.Room)
}

// ReachError lists the terminals to which no permitted wires lead from any root.
type ReachError struct{ Terminals []int }

func (e *ReachError) Error() string {
	return fmt.Sprintf("no permitted wires lead from a root to terminals %v", e.Terminals)
}
