"""What ``riskscope serve`` runs: the app of an installed package."""

from riskscope.screens.entry import main

main()
