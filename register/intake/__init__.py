"""What a person typed or a sheet holds, made values in the register: planned, then applied."""
