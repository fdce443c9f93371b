"""``python -m riskscope``"""

from riskscope.cli.main import entry

entry()
