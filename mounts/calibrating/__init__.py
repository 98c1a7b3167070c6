"""The coupon made, and what readings of it tell the printer's file. It stands above the pipeline, as adapting does."""
