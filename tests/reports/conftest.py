"""The demo plant's report, made once."""

import pytest
import report_cases


@pytest.fixture(scope="session")
def demo_report(tmp_path_factory):
    return report_cases.demo(tmp_path_factory.mktemp("demo-report"))
