package carcass

// makeBattens makes ledges, cleats, glue blocks and ribs.
func (m *maker) makeBattens() {}
