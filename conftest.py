"""The audit and the demo cannot be imported before the stages that they string together exist."""

collect_ignore = ["register/audit.py", "register/demo.py"]
