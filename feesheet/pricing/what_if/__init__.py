"""What if prices, times or terms move: scenarios over the practice's own model, without a second one."""
