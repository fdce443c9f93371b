"""Worked examples, each a short script that runs where it stands: ``riskscope example`` names them."""
