package main

import (
	"errors"
	"fmt"
	"net"
	"os/exec"
	"runtime"
	"strconv"
	"syscall"
	"time"

	"lotcost/cmd/lotcost/internal/desk"
	"lotcost/cmd/lotcost/internal/sheet"

	"github.com/spf13/cobra"
)

type deskOptions struct {
	reading
	port   int
	noOpen bool
	lan    bool
}

func newDesk(s streams) *cobra.Command {
	o := &deskOptions{}
	noneOrOne := func(c *cobra.Command, args []string) error {
		if len(args) == 0 {
			return nil
		}
		return oneFolder(c, args)
	}
	c := command("desk", o, noneOrOne, folders, func(c *cobra.Command, args []string) error { return o.run(c, s, append(args, ".")[0]) })
	c.Flags().IntVar(&o.port, "port", 0, "serve at this `NUMBER`; default: one that is free")
	c.Flags().BoolVar(&o.lan, "lan", false, "let a phone of the home network in too, by a code that is good once, shown as a picture for its camera")
	c.Flags().BoolVar(&o.noOpen, "no-open", false, "print the address, and open no browser")
	return c
}

func (o *deskOptions) run(c *cobra.Command, s streams, folder string) error {
	files, err := o.options(s)
	if err != nil {
		return err
	}
	d, err := desk.New(desk.Options{Folder: folder, Files: files, Today: time.Now})
	if err != nil {
		return err
	}
	if o.port < 0 || o.port > 65535 {
		return &usageError{fmt.Sprintf("--port %d is none", o.port), "write a number up to 65535, or leave it out"}
	}
	listeners, err := o.listen()
	if err != nil {
		return err
	}
	ctx, stop := interruptible(c)
	defer stop()
	address := d.Address(listeners[0])
	if _, err := fmt.Fprintln(s.out, "the desk is open at "+address); err != nil {
		return err
	}
	if o.lan {
		if err := s.tellPhone(d.Lan(listeners[1]), folder); err != nil {
			return err
		}
	}
	if !o.noOpen {
		open(address)
	}
	return d.Serve(ctx, listeners...)
}

// listen opens the port on this computer alone, and with --lan in its network too.
func (o *deskOptions) listen() ([]net.Listener, error) {
	own, err := o.listenAt("127.0.0.1", o.port)
	if err != nil || !o.lan {
		return []net.Listener{own}, err
	}
	host, err := desk.NetworkAddress()
	if err != nil {
		return nil, &usageError{"--lan: " + err.Error(), "join one, or leave out --lan"}
	}
	other, err := o.listenAt(host, own.Addr().(*net.TCPAddr).Port)
	return []net.Listener{own, other}, err
}

func (o *deskOptions) listenAt(host string, port int) (net.Listener, error) {
	l, err := net.Listen("tcp", net.JoinHostPort(host, strconv.Itoa(port)))
	if errors.Is(err, syscall.EADDRINUSE) {
		return nil, &usageError{fmt.Sprintf("--port %d is in use", port), "end what uses it, or leave out --port"}
	}
	return l, err
}

// tellPhone says what is open to the network, and how a phone comes in.
func (s streams) tellPhone(address, folder string) error {
	picture, err := desk.Picture(address, s.terminal.Colour)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(s.out, "one phone of the home network may come in, once, by %s\nit then sees and changes every lot file in %s; what goes over the network is not encrypted\n%s", address, sheet.Visible(folder), picture)
	return err
}

// open shows an address in the user's browser; where that cannot be, it stands on the
// terminal.
func open(address string) {
	name, args := "xdg-open", []string{address}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", address}
	}
	c := exec.Command(name, args...)
	if c.Start() == nil {
		go c.Wait()
	}
}
