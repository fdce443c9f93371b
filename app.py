"""The app: ``streamlit run app.py``."""

from riskscope.screens.entry import main

main()
