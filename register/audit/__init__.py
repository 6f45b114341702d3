"""The register judged: verdicts, findings, what was accepted or corrected; audits compared."""
