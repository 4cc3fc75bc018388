package tariff

import (
	"io"
	"sync"
)

// Cache keeps what was found in files, for many hauls that name the same ones. The zero value is
// empty. Several may use it at once.
type Cache struct {
	mu    sync.Mutex
	files map[string]map[string]answer
}

// answer is what a code was found to be.
type answer struct {
	line    *Line
	unknown error
}

// Read is [Read] of r, of a file whose state the key names: its path, size and time, say. It reads
// only where a code was not sought in that state before. A nil Cache keeps nothing.
func (c *Cache) Read(key string, r io.Reader, codes ...string) ([]*Line, []error, error) {
	if c == nil {
		return Read(r, codes...)
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	known := c.files[key]
	var missing []string
	for _, code := range codes {
		if _, ok := known[code]; !ok {
			missing = append(missing, code)
		}
	}
	if len(missing) > 0 {
		lines, unknown, err := Read(r, missing...)
		if err != nil {
			return nil, nil, err
		}
		if known == nil {
			known = map[string]answer{}
		}
		for i, code := range missing {
			known[code] = answer{lines[i], unknown[i]}
		}
		if c.files == nil {
			c.files = map[string]map[string]answer{}
		}
		c.files[key] = known
	}
	lines, unknown := make([]*Line, len(codes)), make([]error, len(codes))
	for i, code := range codes {
		lines[i], unknown[i] = known[code].line, known[code].unknown
	}
	return lines, unknown, nil
}
