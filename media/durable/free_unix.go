//go:build !windows

package durable

import (
	"fmt"
	"syscall"
)

// Free returns how many bytes the disk that holds path has left for this
// user.
func Free(path string) (uint64, error) {
	var s syscall.Statfs_t
	if err := syscall.Statfs(path, &s); err != nil {
		return 0, fmt.Errorf("measure free space of %s: %w", path, err)
	}
	return s.Bavail * uint64(s.Bsize), nil
}
