"""What a campaign is: frozen records and declared tables; opens no file, computes nothing."""
