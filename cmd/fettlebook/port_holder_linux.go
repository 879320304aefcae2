package main

import (
	"bufio"
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// portHolder names the program that listens at a port of this machine, "" if that cannot be
// told: who runs for somebody else is not shown to everybody.
func portHolder(port string) string {
	number, err := strconv.ParseUint(port, 10, 16)
	if err != nil {
		return ""
	}
	sockets := make(map[string]bool)
	for _, table := range []string{"/proc/net/tcp", "/proc/net/tcp6"} {
		raw, err := os.ReadFile(table)
		if err != nil {
			continue
		}
		for lines := bufio.NewScanner(bytes.NewReader(raw)); lines.Scan(); {
			f := strings.Fields(lines.Text()) // proc(5): number, local address, remote address, state, …, inode
			if len(f) < 10 || f[3] != "0A" || !strings.HasSuffix(f[1], fmt.Sprintf(":%04X", number)) {
				continue
			}
			sockets["socket:["+f[9]+"]"] = true
		}
	}
	if len(sockets) == 0 {
		return ""
	}
	open, _ := filepath.Glob("/proc/[0-9]*/fd/*") // the pattern is right
	for _, fd := range open {
		to, err := os.Readlink(fd)
		if err != nil || !sockets[to] {
			continue
		}
		process := strings.Split(fd, "/")[2]
		name, err := os.ReadFile("/proc/" + process + "/comm")
		if err != nil {
			continue
		}
		return fmt.Sprintf("%s (process %s)", oneLine(strings.TrimSpace(string(name))), process)
	}
	return ""
}
