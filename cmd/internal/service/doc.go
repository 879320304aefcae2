// Package service has a hub or a tablet start with its machine: as a unit of systemd, an agent
// of launchd, or a service of Windows. What is written is plain text that can be shown before;
// nothing else knows of it, and it is removed by its name.
package service
