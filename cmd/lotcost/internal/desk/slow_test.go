package desk

import (
	"net"
	"os"
	"sync/atomic"
	"testing"
	"time"
)

// late is a listener whose answers come late, after they were made: what races with them is seen.
// LOTCOST_LATE says by how much in all tests.
type late struct {
	net.Listener
	by time.Duration
}

type lateConn struct {
	net.Conn
	by    time.Duration
	asked atomic.Bool
}

func slowly(t testing.TB, l net.Listener) net.Listener {
	t.Helper()
	by, err := time.ParseDuration(os.Getenv("LOTCOST_LATE"))
	if err != nil {
		return l
	}
	return late{l, by}
}

func (l late) Accept() (net.Conn, error) {
	c, err := l.Listener.Accept()
	return &lateConn{Conn: c, by: l.by}, err
}

func (c *lateConn) Read(p []byte) (int, error) {
	n, err := c.Conn.Read(p)
	if n > 0 {
		c.asked.Store(true)
	}
	return n, err
}

func (c *lateConn) Write(p []byte) (int, error) {
	if c.asked.Swap(false) {
		time.Sleep(c.by)
	}
	return c.Conn.Write(p)
}
