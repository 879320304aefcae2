package demo

import (
	"context"
	"fmt"
	"io"
	"net"
	"sync"
)

// Cable is a network between a tablet and the hub that can be cut: a TCP
// forwarder on loopback.
type Cable struct {
	to       string
	listener net.Listener

	mu    sync.Mutex
	cut   bool
	ends  map[net.Conn]bool
	flows sync.WaitGroup
}

// Lay lays a cable to an address.
func Lay(ctx context.Context, to string) (*Cable, error) {
	l, err := (&net.ListenConfig{}).Listen(ctx, "tcp", "127.0.0.1:0")
	if err != nil {
		return nil, fmt.Errorf("lay a cable: %w", err)
	}
	c := &Cable{to: to, listener: l, ends: map[net.Conn]bool{}}
	c.flows.Go(c.accept)
	return c, nil
}

// Address is where the tablet plugs in.
func (c *Cable) Address() string { return c.listener.Addr().String() }

// Cut breaks every connection and lets no new one through.
func (c *Cable) Cut() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.cut = true
	for end := range c.ends {
		end.Close()
	}
}

// Mend lets connections through again.
func (c *Cable) Mend() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.cut = false
}

// Close takes the cable away.
func (c *Cable) Close() error {
	err := c.listener.Close()
	c.Cut()
	c.flows.Wait()
	return err
}

func (c *Cable) accept() {
	for {
		near, err := c.listener.Accept()
		if err != nil {
			return
		}
		c.flows.Go(func() { c.join(near) })
	}
}

// join copies both ways until either end closes.
func (c *Cable) join(near net.Conn) {
	defer near.Close()
	if !c.hold(near) {
		return
	}
	defer c.drop(near)
	far, err := net.Dial("tcp", c.to)
	if err != nil {
		return
	}
	defer far.Close()
	if !c.hold(far) {
		return
	}
	defer c.drop(far)
	var both sync.WaitGroup
	for _, way := range [][2]net.Conn{{near, far}, {far, near}} {
		both.Go(func() {
			io.Copy(way[0], way[1]) // ends when either end does; there is nobody to tell
			way[0].Close()
			way[1].Close()
		})
	}
	both.Wait()
}

func (c *Cable) hold(end net.Conn) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	if !c.cut {
		c.ends[end] = true
	}
	return !c.cut
}

func (c *Cable) drop(end net.Conn) {
	c.mu.Lock()
	defer c.mu.Unlock()
	delete(c.ends, end)
}
