"""The candidates for the place of a device, what else they change, and a replacement recorded."""
