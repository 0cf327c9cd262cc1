//go:build !unix

package trialfile

// doNotWait is nothing where no pipe lies in a folder.
const doNotWait = 0
