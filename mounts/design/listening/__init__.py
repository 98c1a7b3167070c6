"""The listener: where the ears are, what level is lost off the speaker's axis, when its sound arrives."""
