package catalog

// Validate lists, in sentences, what a record says that cannot be true of one part.
func (p Part) Validate() []string { return nil }
