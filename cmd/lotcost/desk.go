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

	"github.com/spf13/cobra"
)

type deskOptions struct {
	reading
	port   int
	noOpen bool
}

func newDesk(s streams) *cobra.Command {
	o := &deskOptions{}
	c := &cobra.Command{
		Use:   "desk [FOLDER]",
		Short: "The whole job in a browser, on the files of a folder",
		Long: `Desk opens a folder of lot files in the browser: the hauls by what they wait for, and
each haul with fields that change its file where they stand. What it shows is what
the commands say. There is no account and no other store: it works on this computer
alone, on the same files. Ctrl-C ends it.

Without FOLDER it opens the working folder.

` + exitHelp,
		Example: `  lotcost desk
  lotcost desk hauls --port 8100 --no-open`,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) == 0 {
				return nil
			}
			return oneFolder(c, args)
		},
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return nil, cobra.ShellCompDirectiveFilterDirs
		},
		RunE: func(c *cobra.Command, args []string) error {
			return o.run(c, s, append(args, ".")[0])
		},
	}
	o.reading.addFlags(c)
	c.Flags().IntVar(&o.port, "port", 0, "serve at this `NUMBER`; default: one that is free")
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
	l, err := net.Listen("tcp", net.JoinHostPort("127.0.0.1", strconv.Itoa(o.port)))
	if errors.Is(err, syscall.EADDRINUSE) {
		return &usageError{fmt.Sprintf("--port %d is in use", o.port), "end what uses it, or leave out --port"}
	} else if err != nil {
		return err
	}
	ctx, stop := interruptible(c)
	defer stop()
	address := d.Address(l)
	if _, err := fmt.Fprintln(s.out, "the desk is open at "+address); err != nil {
		return err
	}
	if !o.noOpen {
		open(address)
	}
	return d.Serve(ctx, l)
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
