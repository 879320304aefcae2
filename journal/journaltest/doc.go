// Package journaltest helps to test what writes and reads journals.
//
// [Samples] and [Minimal] are one draft of every kind. [Rand], [Watch] and
// [Author] make entries whose bytes are the same on every run. [TestLog] is
// the contract of a log as a test, and [Memory] a log in memory that keeps it:
//
//	func TestContract(t *testing.T) {
//		journaltest.TestLog(t, func(t *testing.T) journaltest.Pair { … })
//	}
//
// All names in it are invented.
package journaltest
