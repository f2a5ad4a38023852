"""Two renders: how they differ, which old corrections may stay, the look found anew, handover."""
