"""What could stand in the place of a device, what that changes, and a replacement recorded."""
