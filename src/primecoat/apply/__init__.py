"""Plans carried out, with a journal; taken back; finished after a crash."""
