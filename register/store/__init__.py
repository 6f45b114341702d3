"""The SQLite register: tables, history, backup."""
