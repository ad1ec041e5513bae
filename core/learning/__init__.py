"""What many nights together teach: cracks against stress, thermocouples, ageing lehrs."""
