"""How a device is set and put in service, and the least change that clears a finding."""
