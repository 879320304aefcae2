package main

import (
	"context"
	"fmt"
	"net"
	"os"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/journal/words"
)

// hubAt says where in the network a hub is. What is left out stays as it is; of a new shop
// it is every address of the machine, and the ports 7460 and 7461.
type hubAt struct {
	Host       string   `help:"The address to listen on; 127.0.0.1 keeps the hub to this machine (at first: 0.0.0.0, which is all that the machine has)." placeholder:"ADDRESS"`
	DeskPort   int      `help:"Where tablets join and the desk’s pages are, over TLS (at first: 7460)." placeholder:"PORT"`
	BrokerPort int      `help:"Where tablets sync (at first: 7461)." placeholder:"PORT"`
	Address    []string `help:"A name or number under which tablets find this machine, beside its own addresses, which are looked for at each start; can be given again. Given empty, those that were named are forgotten." placeholder:"HOST"`
}

// over is where a hub is from now on: what is given takes the place of what was, and the
// machine's own addresses are looked for again.
func (h hubAt) over(id folder.Identity) (folder.Identity, error) {
	if h.Host != "" {
		id.Host = h.Host
	}
	for _, p := range []struct {
		flag  string
		given int
		to    *int
	}{{"desk-port", h.DeskPort, &id.DeskPort}, {"broker-port", h.BrokerPort, &id.BrokerPort}} {
		if p.given < 0 || p.given > 1<<16-1 {
			return id, &exit.Error{Status: exit.Usage, Sentence: fmt.Sprintf("--%s %d: a port is a number from 1 to 65535", p.flag, p.given)}
		}
		if p.given != 0 {
			*p.to = p.given
		}
	}
	if id.DeskPort == id.BrokerPort {
		return id, &exit.Error{Status: exit.Usage, Sentence: fmt.Sprintf("--desk-port and --broker-port are both %d; give one of them another port", id.DeskPort)}
	}
	own, err := ownAddresses(id.Host)
	if err != nil {
		return id, err
	}
	if id.Named == nil { // of an earlier program: what is not the machine's own was named, or was its own once
		id.Named = slices.DeleteFunc(slices.Clone(id.Addresses), func(a string) bool { return slices.Contains(own, a) })
		id.Named = slices.Concat([]string{}, id.Named)
	}
	if h.Address != nil {
		id.Named = slices.DeleteFunc(slices.Concat([]string{}, h.Address), func(a string) bool { return strings.TrimSpace(a) == "" })
	}
	for _, a := range id.Named {
		if strings.ContainsAny(a, " /@[]") || net.ParseIP(a) == nil && strings.Contains(a, ":") {
			return id, &exit.Error{Status: exit.Usage, Sentence: fmt.Sprintf("--address %s: write a name such as office.lan or a number such as 192.168.4.20, without a port", words.Quoted(a))}
		}
	}
	id.Addresses = slices.Concat(id.Named, slices.DeleteFunc(own, func(a string) bool { return slices.Contains(id.Named, a) }))
	return id, nil
}

// move has a hub be where it is told to be, from this start on.
func (h hubAt) move(f *folder.Folder) error {
	id, err := h.over(f.Identity)
	if err != nil || reflect.DeepEqual(id, f.Identity) {
		return err
	}
	return f.Move(id)
}

// brokers are the addresses at which tablets find the hub's messages: of this run, and where
// it is to be from its next start on.
func (s *hubProcess) brokers() []string {
	list := brokersOf(s.f.Identity)
	if next, err := folder.ReadIdentity(s.f.Dir); err == nil {
		for _, b := range brokersOf(next) {
			if !slices.Contains(list, b) {
				list = append(list, b)
			}
		}
	}
	return list
}

// brokersOf are the addresses at which tablets find a hub as it stands in its folder. The
// machine's own are those that it has now.
func brokersOf(id folder.Identity) (list []string) {
	for _, host := range reachable(id) {
		list = append(list, net.JoinHostPort(host, strconv.Itoa(id.BrokerPort)))
	}
	return list
}

// deskAddresses are those at which tablets join.
func deskAddresses(id folder.Identity) (list []string) {
	for _, host := range reachable(id) {
		list = append(list, net.JoinHostPort(host, strconv.Itoa(id.DeskPort)))
	}
	return list
}

// reachable are the names and numbers of a hub: those that somebody named, those that its machine
// has now, and last the machine's name, which the network may know. Loopback leads elsewhere
// on any other machine, so it is told only where there is nothing else.
func reachable(id folder.Identity) []string {
	own, err := ownAddresses(id.Host)
	if err != nil {
		own = id.Addresses
	}
	list := slices.Concat(id.Named, slices.DeleteFunc(own, func(a string) bool { return slices.Contains(id.Named, a) }))
	if everywhere(id.Host) {
		if name, err := os.Hostname(); err == nil && name != "" && !slices.Contains(list, name) {
			list = append(list, name)
		}
	}
	far := slices.DeleteFunc(slices.Clone(list), func(a string) bool { ip := net.ParseIP(a); return ip != nil && ip.IsLoopback() })
	if len(far) == 0 {
		return list
	}
	return append(far, slices.DeleteFunc(list, func(a string) bool { return slices.Contains(far, a) })...)
}

// everywhere reports whether who listens there listens at every address of the machine.
func everywhere(host string) bool { return host == "0.0.0.0" || host == "::" || host == "" }

// ownAddresses lists under which numbers this machine can be reached.
func ownAddresses(host string) ([]string, error) {
	if !everywhere(host) {
		return []string{host}, nil
	}
	list, err := net.InterfaceAddrs()
	if err != nil {
		return nil, fmt.Errorf("look for this machine’s addresses: %w", err)
	}
	var out []string
	for _, a := range list {
		if n, ok := a.(*net.IPNet); ok && n.IP.IsGlobalUnicast() && n.IP.To4() != nil {
			out = append(out, n.IP.String())
		}
	}
	return append(out, "127.0.0.1"), nil
}

type hubAddress struct {
	hubAt
	JSON bool `name:"json" help:"Print JSON."`
}

// addressView is where a hub is, as it is printed.
type addressView struct {
	Host    string   `json:"host"`
	Desk    int      `json:"desk_port"`
	Broker  int      `json:"broker_port"`
	Named   []string `json:"named"`
	Tablets []string `json:"tablets_find_it_at"`
}

// Run shows where the hub is, or keeps where it is to be.
func (c *hubAddress) Run(_ context.Context, t *terminal) error {
	id, err := identityOf(t.Data, folder.Hub)
	if err != nil {
		return err
	}
	moved, err := c.over(id)
	if err != nil {
		return err
	}
	changed := c.Host != "" || c.DeskPort != 0 || c.BrokerPort != 0 || c.Address != nil
	if changed {
		if err := folder.WriteIdentity(t.Data, moved); err != nil {
			return err
		}
	}
	v := addressView{moved.Host, moved.DeskPort, moved.BrokerPort, moved.Named, brokersOf(moved)}
	if c.JSON {
		return printReport(t.Out, "hub address", v)
	}
	fmt.Fprintf(t.Out, "The hub listens on %s: tablets join and the desk is at port %d, tablets sync at port %d.\nTablets look for it at %s.\n", v.Host, v.Desk, v.Broker, words.Commas(v.Tablets...))
	if changed {
		_, err = fmt.Fprintln(t.Out, "This holds from the next start of the hub on. Tablets that are in touch with it hear of it now, and find it there.")
	}
	return err
}
