//go:build unix

package trialfile

import "syscall"

// doNotWait makes that opening a pipe does not wait for its other end.
const doNotWait = syscall.O_NONBLOCK
